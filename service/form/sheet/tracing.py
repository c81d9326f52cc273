"""From a place in the request (a JSON Pointer) back to the cell of the sheet that it was read from, or that lacks something."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from service.form.sheet.blocks import Blocks, Row
from service.form.sheet.columns import ASSEMBLY, REQUEST
from service.form.sheet.grid import WHOLE, Cell
from service.sheets import place_of


class Traced(NamedTuple):
    """A row, the column's name and the cell; None where it is of none. `written`: what stands there."""

    row: int
    column: str | None
    cell: str | None
    written: str = ""


def traced(found: Blocks, rows: Sequence[int], pointer: str) -> Traced:
    """The cell of a pointer into the request that was read from `rows` (of each assembly)."""
    of_wire = pointer.removeprefix("#").startswith("/assemblies/")
    block = ASSEMBLY if of_wire else REQUEST
    places = found.places.get(block, {})
    row, name = place_of(pointer, rows, places)
    if not of_wire:
        row = found.whole.row if found.whole else found.named_at.get(REQUEST, WHOLE - 1) + 1
    filled = _cells(found, block, row)
    if name is not None and name not in places:  # an object or a list: its first cell that lacks something, else its first
        below = [each for each in places if each.startswith(f"{name}.")]
        name = next((each for each in below if each not in filled), below[0]) if below else name
    at = found.cell(block, name, row) if name and row else None
    return Traced(row or WHOLE, name, at, filled[name].text if name in filled else "")


def _cells(found: Blocks, block: str, row: int | None) -> dict[str, Cell]:
    rows: Sequence[Row] = found.wires if block == ASSEMBLY else [found.whole] if found.whole else []
    return next((each.cells for each in rows if each.row == row), {})
