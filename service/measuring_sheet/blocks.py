"""Finds the two blocks of a sheet and the column of each cell, and reports what belongs nowhere, so that nothing entered is silently
ignored.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from service.assembly_table import advice
from service.assembly_table.boats import MOST_ROWS
from service.measuring_sheet.columns import ASSEMBLY, REQUEST, Asked, asked_as
from service.measuring_sheet.grid import WHOLE, Cell, Line, letters
from service.web_form.asking import N_

COMMENT = "#"
OWN = "##"  # begins the sheet's own rows below those for wires
_MOST_WRONG = 1000
_MOST_SOUGHT = 40  # number of unknown field names for which similar ones are searched: each takes a few milliseconds
NO_TABLE = N_(
    "This is no measuring sheet: no row begins with 'assembly'. Download one, fill it in, and leave the rows of field names as they are."
)
NO_NAME = N_(
    "The column has no field name above it: write this into one of the sheet's columns, or begin the row with # if it is not to be read."
)
STRAY = N_("Nothing is read above the sheet's field names: write this below them, or begin the row with # if it is not to be read.")
NOT_FOR_WIRES = N_(
    "This row holds the sheet's own notes and is not read: insert a row above the pictures and write the wire there, or download a sheet for more wires."
)
ONE_ROW = N_("Boat and customer stand in one row: a file is for one boat.")
TWICE = N_("This field name stands twice: keep the column that is meant.")
AGAIN = N_("The sheet has these field names already: put all wires below the first of these rows.")
TOO_MANY_WIRES = N_("A request takes 200 wires: put this row and those below it into another sheet.")
OTHER_BLOCK = N_(
    "This field does not belong to this row of field names: boat and customer stand in the upper block, each wire in the lower one."
)


@dataclass(frozen=True, slots=True)
class Row:
    """A filled row: its cells by column name."""

    row: int
    cells: dict[str, Cell]


@dataclass(frozen=True, slots=True)
class Wrong:
    """A fault and its place: `column` is the field's name if there is one, `cell` as in spreadsheets, `written` its content."""

    row: int
    code: str
    detail: str
    column: str | None = None
    cell: str | None = None
    written: str = ""
    pointer: str = ""  # into the request, if it has been read that far


@dataclass(slots=True)
class Blocks:
    """What was filled in. `places`: for each block, the index of each column, from 0."""

    whole: Row | None = None
    wires: list[Row] = field(default_factory=list)
    places: dict[str, dict[str, int]] = field(default_factory=dict)
    asked: dict[str, Asked] = field(default_factory=dict)
    named_at: dict[str, int] = field(default_factory=dict)  # the row with a block's field names
    surplus: int | None = None  # the first row beyond the number of wires that a request takes
    wrong: list[Wrong] = field(default_factory=list)

    def note(self, *wrong: Wrong) -> None:
        """Add faults, up to the number that is shown."""
        self.wrong += wrong[: max(_MOST_WRONG - len(self.wrong), 0)]

    @property
    def full(self) -> bool:
        """Whether the number of faults that is shown has been reached."""
        return len(self.wrong) >= _MOST_WRONG

    def order(self, wrong: Wrong) -> tuple[int, int]:
        """Sort key of a fault: by row, then by column; faults without a column come first."""
        block = next((block for block, places in self.places.items() if wrong.column in places), "")
        return wrong.row, self.places[block][wrong.column or ""] if block else -1

    def cell(self, block: str, name: str, row: int) -> str | None:
        """The name of a cell, such as `D7`; None if the sheet has no such column."""
        place = self.places.get(block, {}).get(name)
        return None if place is None else f"{letters(place)}{row}"


def blocks_of(lines: Iterable[Line]) -> Blocks:
    """The blocks of a sheet."""
    blocks, block = Blocks(), ""
    for line in lines:
        first = line.cells[0].text.strip().casefold() if line.cells else ""
        if line.fault is not None:
            blocks.note(Wrong(line.row, *line.fault))
        elif first.startswith(OWN):
            _beside(blocks, line, "notes_row", NOT_FOR_WIRES, range(1, len(line.cells)))
        elif first.startswith(COMMENT):
            continue
        elif first in (REQUEST, ASSEMBLY):
            block = first
            _name(blocks, line, block)
        else:
            _fill(blocks, line, block)
    if blocks.surplus is not None:
        blocks.wrong.insert(0, Wrong(blocks.surplus, "list_size", TOO_MANY_WIRES))
    if ASSEMBLY not in blocks.places:
        blocks.wrong.insert(0, Wrong(WHOLE, "not_a_measuring_sheet", NO_TABLE))
    return blocks


def _name(blocks: Blocks, line: Line, block: str) -> None:
    if block in blocks.places:
        blocks.note(Wrong(line.row, "duplicate_heading", AGAIN))
        return
    blocks.named_at[block] = line.row
    places = blocks.places[block] = {}
    for place, cell in enumerate(line.cells[1:], 1):
        if not cell.filled:
            continue
        asked = asked_as(cell.text)
        at = f"{letters(place)}{line.row}"
        if asked is None:
            blocks.note(
                Wrong(
                    line.row, "unknown_column", advice(cell.text.strip()[:80], search=len(blocks.wrong) < _MOST_SOUGHT), None, at, cell.text
                )
            )
        elif asked.scope != block:
            blocks.note(Wrong(line.row, "other_block", OTHER_BLOCK, asked.name, at, cell.text))
        elif asked.name in places:
            blocks.note(Wrong(line.row, "duplicate_column", TWICE, asked.name, at, cell.text))
        else:
            places[asked.name] = place
            blocks.asked[asked.name] = asked


def _beside(blocks: Blocks, line: Line, code: str, words: str, places: Iterable[int]) -> None:
    """Report what is entered in those cells, where nothing is read."""
    cells = ((place, line.cells[place]) for place in places)
    blocks.note(*(Wrong(line.row, code, words, None, f"{letters(place)}{line.row}", cell.text) for place, cell in cells if cell.filled))


def _fill(blocks: Blocks, line: Line, block: str) -> None:
    """Read a row below the field names. The first cell is for the row number and is ignored."""
    filled = {place: cell for place, cell in enumerate(line.cells) if place and cell.filled}
    names = {place: name for name, place in blocks.places.get(block, {}).items()}
    code, words = ("no_column", NO_NAME) if block else ("stray", STRAY)
    _beside(blocks, line, code, words, (place for place in filled if place not in names))
    row = Row(line.row, {names[place]: cell for place, cell in filled.items() if place in names})
    if not row.cells:
        return
    if block == ASSEMBLY and len(blocks.wires) == MOST_ROWS:
        blocks.surplus = blocks.surplus or line.row
    elif block == ASSEMBLY:
        blocks.wires.append(row)
    elif blocks.whole is None:
        blocks.whole = row
    else:
        name, cell = next(iter(row.cells.items()))
        blocks.note(Wrong(line.row, "second_row", ONE_ROW, name, blocks.cell(block, name, line.row), cell.text))
