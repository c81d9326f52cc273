"""A workbook of plain tables: numbers have a number format, texts are never formulas, equal tables give equal bytes."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import IO, Any, NamedTuple, TypeAlias

from service.documents.csv.cells import formula_like, plain

DIGITS = 15  # a spreadsheet keeps a number as IEEE 754 binary64, which holds any decimal of 15 digits
_TOP = {"valign": "top"}
_NO_CONVERSION = {"strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}


class Number(NamedTuple):
    """Decimal text that is written as a number, shown with the same decimals."""

    text: str


class Day(NamedTuple):
    """An ISO 8601 date that is written as a date."""

    text: str


Cell: TypeAlias = str | int | Number | Day | None


class Column(NamedTuple):
    """A column's heading and its width in characters."""

    title: str
    width: int


class Workbook:
    """Writes an Office Open XML workbook (ISO/IEC 29500), sheet by sheet: in memory, completed by `written`, or to `file`, where each
    row is released once it is written and `finish` completes it.
    """

    def __init__(self, title: str, day: date, file: IO[bytes] | None = None) -> None:
        """`day` is recorded as the file's creation date: the clock would make equal quotes unequal."""
        import xlsxwriter  # takes 0.1 s to import

        self._bytes = io.BytesIO()
        keeping = {"in_memory": True} if file is None else {"constant_memory": True}
        self._book = xlsxwriter.Workbook(file or self._bytes, {**keeping, **_NO_CONVERSION})
        self._book.set_properties({"title": plain(title), "created": datetime.combine(day, time(), UTC).replace(tzinfo=None)})
        self._formats: dict[str, Any] = {}
        self._head = self._book.add_format({**_TOP, "bold": True, "text_wrap": True, "bottom": 1})

    def add(self, name: str, columns: Sequence[Column], rows: Iterable[Sequence[Cell]]) -> None:
        """Add a sheet with a header row and the rows, set to print on the width of a page."""
        sheet = self._book.add_worksheet(name)
        for place, column in enumerate(columns):
            sheet.set_column(place, place, column.width)
            sheet.write_string(0, place, column.title, self._head)
        for row, cells in enumerate(rows, 1):
            for place, cell in enumerate(cells):
                self._write(sheet, row, place, cell)
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&A&R&P / &N")

    def finish(self) -> None:
        """Write what has not been written yet."""
        self._book.close()

    def written(self) -> bytes:
        """The file."""
        self.finish()
        return self._bytes.getvalue()

    def _write(self, sheet: Any, row: int, place: int, cell: Cell) -> None:
        match cell:
            case None | "":
                pass
            case Day(text):
                sheet.write_datetime(row, place, datetime.combine(date.fromisoformat(text), time()), self._format("yyyy-mm-dd"))
            case Number(text) if len(text.lstrip("-0.").replace(".", "")) <= DIGITS:
                sheet.write_number(row, place, Decimal(text), self._format(number_format(text)))
            case Number(text):
                sheet.write_string(row, place, text, self._format("@"))
            case int():
                sheet.write_number(row, place, cell, self._format("0"))
            case _:
                text = plain(cell)
                sheet.write_string(row, place, text, self._format("@", quoted=formula_like(text)))

    def _format(self, number: str, quoted: bool = False) -> Any:
        """A cell format. `quoted` texts remain texts when the cell is edited: the sheet marks them as typed with an apostrophe."""
        key = f"{number} {quoted}"
        if key not in self._formats:
            shape = {"text_wrap": True} if number == "@" else {"num_format": number}
            self._formats[key] = self._book.add_format({**_TOP, **shape, "quote_prefix": quoted})
        return self._formats[key]


def number_format(text: str) -> str:
    """The number format that shows a decimal text with its own number of decimals."""
    decimals = len(text.partition(".")[2])
    return "#,##0" + ("." + "0" * decimals if decimals else "")
