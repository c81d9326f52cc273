"""Turns rows into requests: adjacent rows with the same `custom_id` form a boat; each row is an assembly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from service.assembly_table.cells import NoFlag, value_of
from service.assembly_table.columns import CUSTOM_ID, Column, columns_of
from service.assembly_table.records import Record

MOST_ROWS = 200  # assemblies per request
_MOST_FAULTS = 1000
Fault = dict[str, object]


@dataclass(slots=True)
class Boat:
    """One boat's rows: the request they make, the row of each assembly, and the faults found before validation by the schemas."""

    custom_id: str | None
    row: int
    request: dict[str, Any] = field(default_factory=dict)
    rows: list[int] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def whole_sheet(found: Iterable[Record]) -> tuple[tuple[Column, ...], Iterator[Boat]]:
    """The columns of a file and its boats. Raises HeaderFault."""
    records = iter(found)
    heading = next(records, Record(1, ("",)))
    columns = columns_of(heading.cells)
    return columns, boats(columns, records)


def boats(columns: Sequence[Column], found: Iterable[Record]) -> Iterator[Boat]:
    """The boats in the records below a header, one after another. Without a `custom_id` column, all rows belong to one boat.

    If a row's boat cannot be determined, the boats before and after it are faulty too: it may be an assembly of either.
    """
    named = next((place for place, column in enumerate(columns) if column.path == (CUSTOM_ID,)), None)
    boat: Boat | None = None
    strays: list[Fault] = []
    for record in found:
        fault = record_fault(record, columns)
        name = _name(record, named, readable=fault is None)
        if named is not None and name is None:
            stray = fault or _fault(record.row, columns[named].name, "required", "write the boat's own id in each of its rows")
            strays = [*strays[-_MOST_FAULTS:], stray]
            continue
        if boat is None or name != boat.custom_id:
            if boat is not None:
                yield _noted(boat, strays)
            boat = Boat(name, record.row)
        _noted(boat, strays)
        strays = []
        _add(boat, record, columns, fault)
    if boat is None and strays:
        boat = Boat(None, 2)
    if boat is not None:
        yield _noted(boat, strays)


def record_fault(record: Record, columns: Sequence[Column]) -> Fault | None:
    """Why a row cannot be split into its cells."""
    if record.fault is not None:
        return _fault(record.row, None, *record.fault)
    if any(cell.strip() for cell in record.cells[len(columns) :]):
        words = f"the row has more cells than the header row's {len(columns)}: put a cell that holds the delimiter into quotation marks"
        return _fault(record.row, None, "too_many_cells", words)
    return None


def _name(record: Record, named: int | None, *, readable: bool) -> str | None:
    """The boat's name in a row; if the row cannot be split, only the first cell is where it should be."""
    if named is None or len(record.cells) <= named or (named and not readable):
        return None
    return record.cells[named].strip() or None


def _noted(boat: Boat, faults: Iterable[Fault]) -> Boat:
    boat.faults.extend(faults)
    del boat.faults[_MOST_FAULTS:]
    return boat


def _add(boat: Boat, record: Record, columns: Sequence[Column], fault: Fault | None) -> None:
    if fault is None and len(boat.rows) == MOST_ROWS:
        fault = _fault(record.row, None, "list_size", f"a boat has at most {MOST_ROWS} assemblies")
    if fault is not None:
        _noted(boat, [fault])
        return
    assembly: dict[str, Any] = {}
    for column, cell in zip(columns, record.cells, strict=False):
        if cell.strip() and column.path != (CUSTOM_ID,):
            _put(boat, assembly, record.row, column, cell)
    boat.request.setdefault("assemblies", []).append(_compact(assembly, boat, record.row))
    boat.rows.append(record.row)


def _put(boat: Boat, assembly: dict[str, Any], row: int, column: Column, cell: str) -> None:
    try:
        value = value_of(cell, column.kind)
    except NoFlag:
        _noted(boat, [_fault(row, column.name, "not_a_boolean", "write yes or no, or leave the cell empty")])
        return
    within: Any = boat.request if column.shared else assembly
    for step in column.path[:-1]:
        within = within.setdefault(step, {})
        if not isinstance(within, dict):
            words = "another cell of the row already has this list: write it once"
            _noted(boat, [_fault(row, column.name, "written_twice", words)])
            return
    if within.setdefault(column.path[-1], value) != value:
        _noted(boat, [_fault(row, column.name, "rows_differ", "the boat's rows differ here: write it once, or the same in each")])


def _compact(found: Any, boat: Boat, row: int, name: str = "") -> Any:
    """Turn items collected under numbers into a list in that order; a gap between them is a fault."""
    if not isinstance(found, dict):
        return found
    numbered = any(isinstance(key, int) for key in found)
    inner = {key: _compact(each, boat, row, f"{name}{key + 1 if numbered else key}.") for key, each in found.items()}
    if not numbered:
        return inner
    gap = next((place for place in range(len(inner)) if place not in inner), None)
    if gap is not None:
        words = "an earlier item of this list is empty while a later one is filled in: start with the first"
        _noted(boat, [_fault(row, f"{name}{gap + 1}", "gap", words)])
    return [inner[key] for key in sorted(inner)]


def _fault(row: int, column: str | None, code: str, detail: str) -> Fault:
    place: Fault = {"row": row} if column is None else {"row": row, "column": column}
    return {**place, "code": code, "detail": detail}
