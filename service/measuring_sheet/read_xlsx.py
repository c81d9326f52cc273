"""Reads a measuring sheet from a workbook: cells as they were entered, never as a formula or date format would show them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from service.measuring_sheet.columns import ASSEMBLY
from service.measuring_sheet.grid import DATE, MOST_COLUMNS, MOST_ROWS, TOO_MANY, TOO_WIDE, Cell, Line, NotASheet, short
from service.measuring_sheet.unzipped import DAMAGED, safe_workbook
from service.web_form.asking import N_

_MOST_SHEETS = 20
_FIRST_ROWS = 200  # among which a sheet's row of field names must be
FORMULA = N_("This is a formula: write its value instead. What a formula comes to is not taken over, since nobody sees it.")
ERROR = N_("The spreadsheet shows an error here: write the value, or empty the cell.")
NONE = N_("No worksheet of this workbook is a measuring sheet: its first column has no cell 'assembly'. Download a sheet and fill it in.")
TWO = N_("Two worksheets of this workbook are measuring sheets: put all wires into one, and send that.")
_NO_ROWS = N_("The workbook has more than 20 worksheets: send the measuring sheet alone.")


def lines_of_xlsx(body: bytes) -> Iterator[Line]:
    """The rows of the worksheet that is a measuring sheet. Raises NotASheet."""
    import openpyxl  # takes 0.2 s to import

    file = safe_workbook(body)
    try:
        book = openpyxl.load_workbook(file, read_only=True, keep_links=False, rich_text=False)
        found = [lines for lines in map(_lines, _sheets(book)) if _is_one(lines)]
    except NotASheet:
        raise
    except Exception:  # noqa: BLE001  # a library that meets XML of no workbook fails in any way
        raise NotASheet("damaged", DAMAGED) from None
    if len(found) != 1:
        raise NotASheet(*(("two_sheets", TWO) if found else ("not_a_measuring_sheet", NONE)))
    yield from found[0]


def _sheets(book: Any) -> list[Any]:
    if len(book.worksheets) > _MOST_SHEETS:
        raise NotASheet("too_large", _NO_ROWS)
    return list(book.worksheets)


def _lines(sheet: Any) -> list[Line]:
    """The rows that are not empty. The sheet size declared by the file is not trusted."""
    sheet.reset_dimensions()
    found: list[Line] = []
    for cells in sheet.iter_rows():
        filled = [cell for cell in cells if cell.value is not None]
        if not filled:
            continue
        if len(found) == MOST_ROWS:
            raise NotASheet("too_many_rows", TOO_MANY)
        if filled[-1].column > MOST_COLUMNS:
            raise NotASheet("too_wide", TOO_WIDE)
        line = [Cell()] * filled[-1].column
        for cell in filled:
            line[cell.column - 1] = _cell(cell)
        found.append(Line(filled[0].row, tuple(line)))
    return found


def _is_one(lines: list[Line]) -> bool:
    return any(line.cells[0].text.strip().casefold() == ASSEMBLY for line in lines[:_FIRST_ROWS])


def _cell(cell: Any) -> Cell:
    return short(_read(cell))


def _read(cell: Any) -> Cell:
    value = cell.value
    if cell.data_type == "f":
        return Cell(str(value), ("formula", FORMULA))
    if cell.data_type == "e":
        return Cell(str(value), ("error_value", ERROR))
    if isinstance(value, datetime | date | time | timedelta):
        return Cell(f"{value}".removesuffix(" 00:00:00"), ("date", DATE))
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int | float):
        return Cell(f"{Decimal(repr(value)):f}".removesuffix(".0"))
    return Cell(str(value))
