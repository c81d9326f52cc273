"""Maps the place of a fault in a request (a JSON Pointer) to its cell."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple
from urllib.parse import unquote


class Place(NamedTuple):
    """A row, numbered as in a spreadsheet, and the column's name; None if the fault does not belong to a single cell."""

    row: int | None
    column: str | None


def place_of(pointer: str, rows: Sequence[int], columns: Collection[str]) -> Place:
    """The cell of a pointer into a request that was read from `rows` (one per assembly) under `columns`. For a missing field it is the
    cell to be filled in, under the name that its column would have.
    """
    steps = [unquote(step).replace("~1", "/").replace("~0", "~") for step in pointer.removeprefix("#").split("/")[1:]]
    if not steps:
        return Place(rows[0] if rows else None, None)
    if steps[0] != "assemblies":
        return Place(rows[0] if rows else None, "request.note" if steps == ["note"] else ".".join(steps))
    if len(steps) == 1 or not steps[1].isdigit() or int(steps[1]) >= len(rows):
        return Place(rows[0] if rows else None, None)
    return Place(rows[int(steps[1])], _column(steps[2:], columns))


def _column(steps: Sequence[str], columns: Collection[str]) -> str | None:
    """The longest name that is a column, otherwise the name that the field's column would have."""
    names = [str(int(step) + 1) if step.isdigit() else step for step in steps]
    if not names:
        return None
    for length in range(len(names), 0, -1):
        if (name := ".".join(names[:length])) in columns:
            return name
    return ".".join(names)
