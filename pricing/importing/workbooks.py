"""Reads a workbook's sheets: the stored values, and for each cell whether it is a date, a formula or an error.

Hidden rows, columns and sheets are never read silently, merged cells are not filled in, and no formula is computed: stored results are used,
with a note.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from pricing.importing.convert import UNITS
from pricing.importing.counting import BadWorkbook, Count, Limits
from pricing.importing.currencies import of_format
from pricing.importing.grid import (
    COVERED,
    DATE,
    ERROR,
    FORMULA,
    HIDDEN,
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_SHEETS,
    NO_VALUE,
    NUMBER,
    Grid,
    Note,
    Place,
    Unreadable,
    framed,
    letters,
    rows_named,
)  # fmt: skip
from pricing.importing.unpacking import safe_parts

LIMITS = Limits(unpacked=200_000_000, steps=45_000_000, padded=6_000_000)  # 20,000 articles in 30 columns: 30 MB, 9 million, 600,000
_ERRORS = frozenset({"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A", "#GETTING_DATA"})
_REF = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_MOST_MARKED = 2_000_000
_LITERAL = re.compile(r'"([^"]*)"|\\(.)')
_BESIDE = re.compile(r"\[[^\[\]]*\]|[_*].")  # colours, conditions and spacing
_FRACTION = re.compile(r"[?#0]\s*/\s*[?#0-9]")
_MOST_BEHIND = 10
UNITS_BEHIND = frozenset(UNITS) | frozenset(("kn", "n", "dan", "kg", "g", "lb", "lbs", "lbf", "t"))
WORDS = {
    "damaged": "the workbook is damaged or was cut off on its way: open it, save it as .xlsx again",
    "too_large": "the workbook unpacks to more than is read at once: split the list into several files",
    "declares": "the workbook declares entities or a document type, which no spreadsheet writes: save it as .xlsx with a spreadsheet",
    "not_a_workbook": "this is not a workbook, though its name or first bytes say so: save the list as .xlsx or CSV with a spreadsheet",
    "locked": "the workbook is locked with a password: save it without one",
    "old_workbook": "this is a workbook of the old kind .xls: open it and save it as .xlsx",
    "macros": "the workbook has macros (.xlsm): save it as .xlsx, without them. No macro is ever run here",
}


@dataclass(slots=True)
class Marked:
    """Marks in a sheet's XML besides its values; rows and columns count from 1."""

    formulas: set[tuple[int, int]] = field(default_factory=set)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    hidden_rows: list[int] = field(default_factory=list)
    hidden_columns: list[int] = field(default_factory=list)


class Watch(Count):
    """A count that also keeps formulas, merged cells, and hidden rows and columns of each sheet's part."""

    def __init__(self) -> None:
        super().__init__(LIMITS)
        self.parts: dict[str, Marked] = {}
        self._at = (0, 0)

    def _start(self, name: str, attributes: Mapping[str, str]) -> None:
        super()._start(name, attributes)
        local = name.rpartition(":")[2]
        if local in _WATCHED:
            self._watched(local, attributes, self.parts.setdefault(self.of_part.casefold(), Marked()))

    def _watched(self, local: str, attributes: Mapping[str, str], here: Marked) -> None:
        if local == "row":
            self._at = (int(attributes["r"]) if "r" in attributes else self._at[0] + 1, 0)
            if _true(attributes.get("hidden")):
                here.hidden_rows.append(self._at[0])
        elif local == "c":
            row, column = self._at
            self._at = (row, _column(attributes["r"]) if "r" in attributes else column + 1)
        elif local == "f":
            here.formulas.add(self._at)
        elif local == "mergeCell":
            here.merged.append(_area(attributes.get("ref", "")))
        elif _true(attributes.get("hidden")):
            first, last = int(attributes.get("min", "0")), int(attributes.get("max", "0"))
            here.hidden_columns += range(first, min(last, first + MOST_COLUMNS) + 1)
        if len(here.merged) + len(here.hidden_columns) + len(here.hidden_rows) > _MOST_MARKED:
            raise BadWorkbook("too_large")


_WATCHED = frozenset({"row", "c", "f", "mergeCell", "col"})


def grids_of_workbook(body: bytes, file: str) -> list[Grid]:
    """Every worksheet with at least one row, in order; a hidden one has `hidden` set. Raises Unreadable."""
    import openpyxl

    watch = Watch()
    try:
        parts = safe_parts(body, watch)
        book = openpyxl.load_workbook(parts, read_only=True, data_only=True, keep_links=False, rich_text=False)
        return [grid for sheet in _few(book.worksheets, file) if (grid := _grid(sheet, file, watch)) is not None]
    except Unreadable:
        raise
    except BadWorkbook as error:
        raise Unreadable(Note(error.code, Place(file), "", WORDS[error.code])) from None
    except Exception:  # noqa: BLE001  # a library that meets XML of no workbook fails in any way
        raise Unreadable(Note("damaged", Place(file), "", WORDS["damaged"])) from None


def _few(sheets: list[Any], file: str) -> list[Any]:
    if len(sheets) > MOST_SHEETS:
        words = f"the workbook has more than {MOST_SHEETS} sheets: save those of the list alone"
        raise Unreadable(Note("too_many_sheets", Place(file), "", words))
    return sheets


def _grid(sheet: Any, file: str, watch: Watch) -> Grid | None:
    import numpy

    marked = watch.parts.get(str(sheet._worksheet_path).casefold(), Marked())  # noqa: SLF001  # the library has no other name for it
    sheet.reset_dimensions()
    hidden = set(marked.hidden_rows)
    numbers: list[int] = []
    rows: list[list[str]] = []
    kinds: list[list[int]] = []
    shown = _Shown()
    for number, there in enumerate(sheet.iter_rows(), 1):
        formulas = marked.formulas
        if not any(cell.value is not None for cell in there) and not any((number, each) in formulas for each in range(1, len(there) + 1)):
            continue
        if len(rows) == MOST_ROWS:
            words = f"the sheet has more than {MOST_ROWS:,} rows: import it in parts"
            raise Unreadable(Note("too_many_rows", Place(file, sheet.title, number), "", words))
        cells = [_read(cell.value, shown, cell) for cell in there]
        numbers.append(number)
        rows.append([text for text, _ in cells])
        kinds.append([kind | (HIDDEN if number in hidden else 0) for _, kind in cells])
    if not rows:
        return None
    frame = framed(rows)
    if frame.shape[1] > MOST_COLUMNS:
        raise Unreadable(
            Note("too_wide", Place(file, sheet.title), "", f"has more than {MOST_COLUMNS} columns: take out those that are not of the list")
        )
    array = numpy.zeros(frame.shape, dtype=numpy.uint8)
    for at, row in enumerate(kinds):
        array[at, : len(row)] = row
    grid = Grid(file, sheet.title, frame, array, numbers, hidden="" if sheet.sheet_state == "visible" else str(sheet.sheet_state))
    _mark(grid, marked)
    return grid


def _mark(grid: Grid, marked: Marked) -> None:
    """Flag formulas and merged cells in the grid's `kinds`, and add notes on formulas and on hidden rows and columns."""
    at_row = {number: at for at, number in enumerate(grid.rows)}
    height, width = grid.cells.shape
    for row, column in marked.formulas:
        at = at_row.get(row)
        if at is not None and column <= width:
            grid.kinds[at, column - 1] |= FORMULA if grid.cells.iat[at, column - 1] else FORMULA | NO_VALUE
    for top, left, bottom, right in marked.merged:
        for row in range(top, min(bottom, grid.rows[-1]) + 1):
            at = at_row.get(row)
            if at is not None:
                grid.kinds[at, left - 1 : right] |= COVERED
        if top in at_row and left <= width:
            grid.kinds[at_row[top], left - 1] &= 0xFF ^ COVERED
    grid.note("read", "", f"read as a workbook's sheet, {height} rows")
    if marked.formulas:
        grid.note(
            "formulas",
            "",
            f"{len(marked.formulas)} formulas: what they came to when the workbook was saved is taken; none is computed here",
        )
    shown = [row for row in marked.hidden_rows if row in at_row]
    if shown:
        grid.note("hidden_rows", "", f"{rows_named(shown)} hidden in the spreadsheet, left out: show them there, if they are to count")
    grid.hidden_columns = frozenset(each - 1 for each in marked.hidden_columns if each <= width)
    if names := [letters(each) for each in sorted(grid.hidden_columns)]:
        words = "hidden in the spreadsheet, and nothing is guessed from them: show them there, or name them in the mapping"
        grid.note("hidden_columns", "", f"columns {', '.join(names)} {words}")


class _Form(NamedTuple):
    """How a cell's format shows its number: as a percentage or a fraction, or with a unit or currency behind it."""

    percent: bool = False
    fraction: bool = False
    behind: str = ""


class _Shown:
    """The formats of a workbook's cells, each parsed once."""

    def __init__(self) -> None:
        self._forms: dict[int, _Form] = {}

    def of(self, cell: Any) -> _Form:
        style = cell._style_id  # noqa: SLF001  # cells of one style are one look-up
        form = self._forms.get(style)
        if form is None:
            form = self._forms[style] = _form(str(cell.number_format))
        return form


def _form(code: str) -> _Form:
    """Parse the first section of a number format, which applies to positive numbers (ECMA-376 part 1, 18.8.31)."""
    section = _BESIDE.sub("", code.partition(";")[0])
    bare = _LITERAL.sub(" ", section)
    literal = "".join(match[1] or match[2] or "" for match in _LITERAL.finditer(section)).strip()
    unit = literal if len(literal) <= _MOST_BEHIND and literal.casefold() in UNITS_BEHIND else ""
    return _Form("%" in bare, _FRACTION.search(bare) is not None, unit or of_format(code))


def _as_shown(value: float, form: _Form) -> str:
    """A number as its cell shows it, with all its digits: 0.04 may be 4 %, 0.375 may be 3/8, and words behind it may be its unit."""
    number = Decimal(format(value, ".15g"))
    if form.percent:
        return f"{_plain(number * 100)} %"
    if form.fraction and number % 1 and number >= 0 and not (number * 64) % 1:
        whole, rest = divmod(Fraction(number), 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{number:f} {form.behind}".rstrip()


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _read(value: Any, shown: _Shown, cell: Any) -> tuple[str, int]:
    if value is None:
        return "", 0
    if isinstance(value, str):
        return (value, ERROR) if value in _ERRORS else (value.strip(), 0)
    if isinstance(value, bool):
        return ("yes" if value else "no"), 0
    if isinstance(value, int | float):
        return _as_shown(value, shown.of(cell)), NUMBER
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" "), DATE
    if isinstance(value, date | time | timedelta):
        return str(value), DATE
    return str(value), 0


def _true(text: str | None) -> bool:
    return text in ("1", "true")


def _column(ref: str) -> int:
    number = 0
    for letter in ref:
        if not letter.isalpha():
            break
        number = number * 26 + ord(letter.upper()) - ord("A") + 1
    return number


def _area(ref: str) -> tuple[int, int, int, int]:
    corners = [(int(row), _column(column)) for column, row in _REF.findall(ref)]
    if len(corners) != 2:
        raise BadWorkbook("damaged")
    (top, left), (bottom, right) = corners
    return top, left, bottom, right


def looks_like_workbook(body: bytes) -> bool:
    """Whether the first bytes are of a zip or of an old compound file."""
    return body.startswith((b"PK", b"\xd0\xcf\x11\xe0"))
