"""A sheet as rows of cells, whatever file it came in."""

from __future__ import annotations

from typing import NamedTuple

from service.form.asking import N_

Fault = tuple[str, str]  # code, what to do
WHOLE = 0  # the row of what is wrong with a whole file


class Cell(NamedTuple):
    """A cell as text, and why it cannot be taken as it is."""

    text: str = ""
    fault: Fault | None = None

    @property
    def filled(self) -> bool:
        """Whether anything stands in it."""
        return bool(self.text.strip()) or self.fault is not None


class Line(NamedTuple):
    """A row as a spreadsheet counts it."""

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
MOST_ROWS, MOST_COLUMNS = 5_000, 400
TOO_MANY = N_("The file has more rows than any measuring sheet: a request takes 200 wires. Send several sheets.")
TOO_WIDE = N_("The file has more than 400 columns: take the ones that are not of the sheet out.")


def letters(place: int) -> str:
    """The name of a column as spreadsheets have it, from 0: A, B, ..., Z, AA."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name
