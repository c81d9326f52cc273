"""Equality filters on any field of a catalogue row; lengths may be written in any unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from pricing.errors import QuantityError
from pricing.units import parse_length
from service.http.problems import Problem, parameter_fault

Row = dict[str, Any]


def matching(rows: Sequence[Row], arguments: Mapping[str, str]) -> Sequence[Row]:
    """The rows whose fields equal every argument. Raises Problem (422) for a field the rows do not have."""
    names = list(rows[0]) if rows else []
    faults = [
        parameter_fault(name, "unknown_filter", f"fields of these rows: {', '.join(names)}") for name in arguments if name not in names
    ]
    if faults:
        raise Problem(422, "The rows cannot be filtered as requested.", faults)
    for name, wanted in arguments.items():
        length = _millimetres(wanted)
        rows = [row for row in rows if _equals(row[name], wanted, length)]
    return rows


def _equals(cell: Any, wanted: str, length: Decimal | None) -> bool:
    if isinstance(cell, list):
        return any(_equals(each, wanted, length) for each in cell)
    if isinstance(cell, dict):
        return wanted in cell.values() or (length is not None and "mm" in cell and Decimal(cell["mm"]) == length)
    return ("" if cell is None else str(cell)) == wanted


def _millimetres(text: str) -> Decimal | None:
    try:
        return parse_length(text)
    except QuantityError:
        return None
