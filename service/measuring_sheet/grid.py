"""A sheet as rows of cells, whatever file format it came in."""

from __future__ import annotations

from typing import NamedTuple

from service.web_form.asking import N_

Fault = tuple[str, str]  # code, what to do
WHOLE = 0  # the row given for a fault of the whole file


class Cell(NamedTuple):
    """A cell's text, and why it cannot be used as it is, if so."""

    text: str = ""
    fault: Fault | None = None

    @property
    def filled(self) -> bool:
        """Whether the cell contains anything."""
        return bool(self.text.strip()) or self.fault is not None


class Line(NamedTuple):
    """A row, numbered as in a spreadsheet."""

    row: int
    cells: tuple[Cell, ...] = ()
    fault: Fault | None = None


class NotASheet(ValueError):
    """A file that cannot be read as a measuring sheet; `fault`: code and what to do."""

    def __init__(self, code: str, detail: str) -> None:
        super().__init__(detail)
        self.fault: Fault = (code, detail)


DATE = N_(
    "A spreadsheet has made a date of this. Write it again as text, a fraction with its unit: '3/8 in', '1 1/8 in'; "
    "if it becomes a date again, format the cell as text first."
)
MOST_ROWS, MOST_COLUMNS, MOST_CELLS, MOST_TEXT = 5_000, 400, 60_000, 4_000
TOO_MANY = N_("The file has more rows than any measuring sheet: a request takes 200 wires. Send several sheets.")
TOO_WIDE = N_("The file has more than 400 columns: take the ones that are not of the sheet out.")

TOO_FULL = N_("The file has more filled cells than any measuring sheet: a request takes 200 wires. Send several sheets.")
TOO_LONG = N_("This is longer than any field of the sheet: write less, 4,000 characters at most.")


def short(cell: Cell) -> Cell:
    """The cell; if its text is longer than any field allows, only the beginning, with what to do."""
    return cell if len(cell.text) <= MOST_TEXT else Cell(cell.text[:80], ("too_long", TOO_LONG))


def letters(place: int) -> str:
    """The spreadsheet name of a column, counted from 0: A, B, ..., Z, AA."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name
