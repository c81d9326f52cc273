"""Lengths as people type them, read by the same rule as a quote's, and returned in both units."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from marshmallow import ValidationError

from pricing.units import completed, imperial, is_imperial, metric
from pricing.wording import localised
from service.http.problems import Problem
from service.schemas.failure import faults, translated_detail
from service.schemas.fields import Flag, Read, read_length
from service.schemas.schema import Many, RequestSchema
from service.wording import translator

MOST = 500


class AnyValue(Read[object]):
    """Anything that was typed: each value is judged separately, so that an unreadable one does not affect the others."""

    def read(self, value: object) -> object:
        """The value."""
        return value


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed; `zero`: zero is allowed, as for an exposed thread with nothing showing."""

    lengths: tuple[object, ...]
    zero: bool = False


class LengthsSchema(RequestSchema):
    """A list of lengths."""

    made = Typed
    lengths = Many(AnyValue(allow_none=True), 1, MOST, required=True)
    zero = Flag()


_SHAPE = LengthsSchema()


def read_typed(value: object) -> Typed:
    """The list. Raises Problem (422) if it is not a list; never because of what it contains."""
    try:
        found: Typed = _SHAPE.load(value)  # type: ignore[arg-type]  # anything but an object is refused there
    except ValidationError as error:
        raise Problem(422, "The request cannot be read; each fault is listed with its place.", list(faults(error.messages))) from None
    return found


def understood(value: object, *, zero: bool, language: str = "en") -> dict[str, Any]:
    """One length in both units, or the fault with which a quote would be refused, in a language."""
    try:
        mm = read_length(value, zero)
    except ValidationError as error:
        first = next(faults(error.messages))
        detail = translated_detail(first["detail"], translator(language))
        return {"length": None, "fault": {"code": first["code"], "detail": detail, "completed": completed_as(value)}}
    return {"length": {**in_both_units(mm, language), "system": system_of(value)}, "fault": None}


def completed_as(value: object) -> list[dict[str, str]]:
    """The lengths that a number without a unit may mean, each with its system of units, for the user to choose from."""
    return [{"text": each, "system": system_of(each)} for each in (completed(value) if isinstance(value, str) else ())]


def system_of(value: object) -> str:
    """The system of units in which a readable length was written."""
    written = f"{value['value']} {value['unit']}" if isinstance(value, dict) else str(value)
    return "imperial" if is_imperial(written) else "metric"


def in_both_units(mm: Decimal, language: str = "en") -> dict[str, str]:
    """A length as exact mm, mm to 0.1, and feet and inches to the nearest 1/32 in, both as the language writes them."""
    return {"mm": f"{mm:f}", "metric": localised(metric(mm), language), "imperial": localised(imperial(mm), language)}
