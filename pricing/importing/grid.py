"""A worksheet or text file as rows of text, with flags for what a spreadsheet did to each cell, and each row's number in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from pricing.errors import PricingError

if TYPE_CHECKING:
    import pandas

# Flags of a cell, as bits: a number; a date; a formula; a formula without a stored value; an error; covered by a merged cell; in a hidden row.
NUMBER, DATE, FORMULA, NO_VALUE, ERROR, COVERED, HIDDEN = 1, 2, 4, 8, 16, 32, 64
MOST_BYTES = 32_000_000
MOST_ROWS, MOST_COLUMNS, MOST_SHEETS = 100_000, 250, 60
SHOWN = 60


class Place(NamedTuple):
    """A place in the shop's file. `row` is the spreadsheet's own number, 0 for the whole sheet; `column` counts from 0, None for the whole row."""

    file: str
    sheet: str = ""
    row: int = 0
    column: int | None = None
    header: str = ""

    def __str__(self) -> str:
        parts = [self.file]
        if self.sheet:
            parts.append(f"sheet '{self.sheet}'")
        if self.row:
            parts.append(f"row {self.row}")
        if self.column is not None:
            parts.append(f"column {letters(self.column)}" + (f" '{self.header}'" if self.header else ""))
        elif self.header:
            parts.append(f"column '{self.header}'")
        return ", ".join(parts)


class Note(NamedTuple):
    """A remark on a place: a stable code, the text found there, and what was done about it or what to write."""

    code: str
    place: Place
    found: str
    words: str

    def __str__(self) -> str:
        found = f" {self.found[:SHOWN]!r}:" if self.found else ""
        return f"{self.place}:{found} {self.words}"


class Unreadable(PricingError):
    """A file that cannot be imported at all; `notes` say why, and what to do."""

    def __init__(self, *notes: Note) -> None:
        super().__init__("\n".join(map(str, notes)))
        self.notes = notes


@dataclass(slots=True)
class Grid:
    """One worksheet, or one text file (`sheet` is then blank).

    `cells`: all text, columns numbered from 0, blank where there is nothing. `kinds`: an array of the same shape with the flags above.
    `rows`: the spreadsheet's number of each row. `notes`: what was assumed or left out. `hidden`: a hidden sheet's state as the workbook
    names it, else blank. `hidden_columns` count from 0.
    """

    file: str
    sheet: str
    cells: pandas.DataFrame
    kinds: Any
    rows: list[int]
    notes: list[Note] = field(default_factory=list)
    hidden: str = ""
    hidden_columns: frozenset[int] = frozenset()

    def place(self, at: int | None = None, column: int | None = None, header: str = "") -> Place:
        """The place of the row at position `at` (None: the sheet), or of a cell in it."""
        return Place(self.file, self.sheet, 0 if at is None else self.rows[at], column, header)

    def note(self, code: str, found: str, words: str, at: int | None = None, column: int | None = None) -> None:
        """Add a note on the sheet, or on a place in it."""
        self.notes.append(Note(code, self.place(at, column), found, words))


def letters(place: int) -> str:
    """The spreadsheet's name of a column, counted from 0: A, B, ..., Z, AA."""
    name, place = "", place + 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def framed(rows: list[list[str]]) -> pandas.DataFrame:
    """Rows of text as a frame; short rows are padded with blanks."""
    import pandas

    width = max(map(len, rows), default=0)
    return pandas.DataFrame([row + [""] * (width - len(row)) for row in rows], columns=range(width), dtype=object)


def ranges(numbers: list[int]) -> str:
    """Row numbers in ascending order for people: '4, 7 to 9'."""
    return ", ".join(_ranges(numbers))


def rows_named(numbers: list[int]) -> str:
    """'row 4', or 'rows 4, 7 to 9'."""
    return f"{'row' if len(numbers) == 1 else 'rows'} {ranges(numbers)}"


def _ranges(numbers: list[int]) -> Iterator[str]:
    at = 0
    while at < len(numbers):
        end = at
        while end + 1 < len(numbers) and numbers[end + 1] == numbers[end] + 1:
            end += 1
        yield str(numbers[at]) if end == at else f"{numbers[at]} to {numbers[end]}"
        at = end + 1
