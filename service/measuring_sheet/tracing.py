"""Maps a place in the request (a JSON Pointer) back to the cell it was read from, or the cell that needs to be filled in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from service.assembly_table import place_of
from service.assembly_table.columns import NEEDED
from service.measuring_sheet.blocks import Blocks, Row
from service.measuring_sheet.columns import ASSEMBLY, REQUEST
from service.measuring_sheet.gathering import TURNBUCKLE
from service.measuring_sheet.grid import WHOLE, Cell


class Traced(NamedTuple):
    """Row, column name and cell; None if it has none. `written`: the cell's content."""

    row: int
    column: str | None
    cell: str | None
    written: str = ""


def traced(blocks: Blocks, rows: Sequence[int], pointer: str, *, lacking: bool) -> Traced:
    """The cell of a pointer into the request that was read from `rows` (one per assembly). `lacking`: something must be filled in, so
    a whole wire, end or measurement stands for the first cell it needs; other messages about one have no cell, only a row.
    """
    of_wire = pointer.removeprefix("#").startswith("/assemblies/")
    block = ASSEMBLY if of_wire else REQUEST
    places = blocks.places.get(block, {})
    row, name = place_of(pointer, rows, ())  # the field's full name
    if name not in places and not any(each.startswith(f"{name}.") for each in places):
        row, name = place_of(pointer, rows, places)
    if not of_wire:
        row = blocks.whole.row if blocks.whole else blocks.named_at.get(REQUEST, WHOLE - 1) + 1
    filled = _cells(blocks, block, row)
    if name is not None and (name not in places or (lacking and name == TURNBUCKLE)):
        name = _below(blocks, name, places, filled, lacking)
    at = blocks.cell(block, name, row) if name and row else None
    return Traced(row or WHOLE, name, at, filled[name].text if name and name in filled else "")


def _below(blocks: Blocks, name: str, places: Mapping[str, int], filled: Mapping[str, Cell], lacking: bool) -> str | None:
    """For an object or a list: a cell it needs, otherwise its first empty length, otherwise its first empty cell."""
    below = [each for each in places if each.startswith(f"{name}.")]
    if not below:
        return name
    if "." not in name and not lacking:
        return None
    needed = [each for each in below if each in NEEDED or each.removesuffix(".1") in NEEDED]
    lengths = [each for each in below if (question := blocks.asked[each].question) is not None and question.kind == "length"]
    own = [name] if name in places else []
    return next((each for each in (*needed, *lengths, *own, *below) if each not in filled or each == name), below[0])


def _cells(blocks: Blocks, block: str, row: int | None) -> dict[str, Cell]:
    rows: Sequence[Row] = blocks.wires if block == ASSEMBLY else [blocks.whole] if blocks.whole else []
    return next((each.cells for each in rows if each.row == row), {})
