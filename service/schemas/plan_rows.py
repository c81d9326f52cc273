"""Checks a request's stock and terms for what the planner would refuse, so that it can be reported together with the other faults."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import ValidationError

from service.http.problems import Fault, Problem, fault
from service.schemas.failure import faults
from service.schemas.schema import RequestSchema

OF_STOCK = ("price", "price_per_metre", "touch_cost", "opening_cost")
OF_TERMS = ("touch_cost", "opening_cost", "remnant_fee")


def row_faults(value: object, digits: int, name: str = "stock") -> Iterator[Fault]:
    """Faults in the rows under `name` and in the terms: equal ids, unclear prices, and amounts with more decimals than the currency's `digits`.
    Values of the wrong type are skipped here.
    """
    if not isinstance(value, dict):
        return
    stock, terms = value.get(name), value.get("terms")
    first: dict[str, int] = {}
    for place, row in enumerate(stock if isinstance(stock, list) else ()):
        if isinstance(row, dict):
            yield from _row(f"#/{name}/{place}", row, place, first, digits)
    if isinstance(terms, dict):
        yield from _amounts("#/terms", terms, OF_TERMS, digits)


def loaded(shape: RequestSchema, value: object, digits: int, words: str, name: str = "stock") -> Any:
    """Load a request that contains rows of stock. Raises Problem (422) with every fault and `words` as its detail."""
    messages: list[Fault] = []
    found: Any = None
    try:
        found = shape.load(value)  # type: ignore[arg-type]  # anything but an object is refused there
    except ValidationError as error:
        messages = list(faults(error.messages))
    known = {each["pointer"] for each in messages}
    messages += [each for each in row_faults(value, digits, name) if each["pointer"] not in known]
    if messages:
        raise Problem(422, words, messages)
    return found


def _row(at: str, row: Mapping[str, Any], place: int, first: dict[str, int], digits: int) -> Iterator[Fault]:
    name = row.get("id")
    if isinstance(name, str) and first.setdefault(name, place) != place:
        yield fault(
            f"{at}/id", "repeated_id", f"the row at index {first[name]} has the same id: give each its own, or use `count` for equal ones"
        )
    if ("price" in row) == ("price_per_metre" in row):
        yield fault(f"{at}/price", "price_unclear", "give either `price` or `price_per_metre`")
    yield from _amounts(at, row, OF_STOCK, digits)


def _amounts(at: str, holder: Mapping[str, Any], names: tuple[str, ...], digits: int) -> Iterator[Fault]:
    for name in names:
        written = holder.get(name)
        if isinstance(written, str) and len(written.partition(".")[2].rstrip("0")) > digits:
            yield fault(f"{at}/{name}", "too_many_decimals", f"{written} has more than the currency's {digits} decimals")
