"""Lengths as people type them, read by the rule that reads a quote's, and told back in both units."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from marshmallow import ValidationError

from pricing.units import imperial, metric
from service.problems import Problem
from service.schemas.failure import faults
from service.schemas.fields import Flag, Read, read_length
from service.schemas.shape import Many, Shape

MOST = 500


class AnyValue(Read[object]):
    """Whatever was typed: each is judged by itself, so that one that cannot be read spoils no other."""

    def read(self, value: object) -> object:
        """The value."""
        return value


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed; `zero`: nothing showing is a reading, as of an exposed thread."""

    lengths: tuple[object, ...]
    zero: bool = False


class LengthsShape(Shape):
    """A list of lengths."""

    made = Typed
    lengths = Many(AnyValue(allow_none=True), 1, MOST, required=True)
    zero = Flag()


_SHAPE = LengthsShape()


def read_typed(value: object) -> Typed:
    """The list. Raises Problem (422) for what is no list; never for what stands in it."""
    try:
        found: Typed = _SHAPE.load(value)  # type: ignore[arg-type]  # what is no object is refused there
    except ValidationError as error:
        raise Problem(422, "The request cannot be read; each fault is listed with its place.", list(faults(error.messages))) from None
    return found


def understood(value: object, *, zero: bool) -> dict[str, Any]:
    """One length in both units, or the fault that a quote would be refused with."""
    try:
        mm = read_length(value, zero)
    except ValidationError as error:
        first = next(faults(error.messages))
        return {"length": None, "fault": {"code": first["code"], "detail": first["detail"]}}
    return {"length": told(mm), "fault": None}


def told(mm: Decimal) -> dict[str, str]:
    """A length: exact mm, mm to 0.1, feet and inches to the nearest 1/32 in."""
    return {"mm": f"{mm:f}", "metric": metric(mm), "imperial": imperial(mm)}
