"""From a place in the request (a JSON Pointer) back to the cell of the sheet that it was read from, or that lacks something."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from service.form.sheet.blocks import Blocks, Row
from service.form.sheet.columns import ASSEMBLY, REQUEST
from service.form.sheet.gathering import TURNBUCKLE
from service.form.sheet.grid import WHOLE, Cell
from service.sheets import place_of
from service.sheets.columns import NEEDED


class Traced(NamedTuple):
    """A row, the column's name and the cell; None where it is of none. `written`: what stands there."""

    row: int
    column: str | None
    cell: str | None
    written: str = ""


def traced(found: Blocks, rows: Sequence[int], pointer: str, *, lacking: bool) -> Traced:
    """The cell of a pointer into the request that was read from `rows` (of each assembly). `lacking`: something is to be written there, so
    that a whole wire, end or measurement is the first cell that it needs; what is said of it otherwise is of no cell, but of the row."""
    of_wire = pointer.removeprefix("#").startswith("/assemblies/")
    block = ASSEMBLY if of_wire else REQUEST
    places = found.places.get(block, {})
    row, name = place_of(pointer, rows, ())  # the field's whole name
    if name not in places and not any(each.startswith(f"{name}.") for each in places):
        row, name = place_of(pointer, rows, places)
    if not of_wire:
        row = found.whole.row if found.whole else found.named_at.get(REQUEST, WHOLE - 1) + 1
    filled = _cells(found, block, row)
    if name is not None and (name not in places or (lacking and name == TURNBUCKLE)):
        name = _below(found, name, places, filled, lacking)
    at = found.cell(block, name, row) if name and row else None
    return Traced(row or WHOLE, name, at, filled[name].text if name and name in filled else "")


def _below(found: Blocks, name: str, places: Mapping[str, int], filled: Mapping[str, Cell], lacking: bool) -> str | None:
    """Of an object or a list: its cell that is needed, else its first empty length, else its first empty cell."""
    below = [each for each in places if each.startswith(f"{name}.")]
    if not below:
        return name
    if "." not in name and not lacking:
        return None
    needed = [each for each in below if each in NEEDED or each.removesuffix(".1") in NEEDED]
    lengths = [each for each in below if (question := found.asked[each].question) is not None and question.kind == "length"]
    own = [name] if name in places else []
    return next((each for each in (*needed, *lengths, *own, *below) if each not in filled or each == name), below[0])


def _cells(found: Blocks, block: str, row: int | None) -> dict[str, Cell]:
    rows: Sequence[Row] = found.wires if block == ASSEMBLY else [found.whole] if found.whole else []
    return next((each.cells for each in rows if each.row == row), {})
