"""A request for a quote: `read_request` turns a decoded body into the engine's frozen request, or names every fault at once."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from marshmallow import ValidationError

from pricing.assembly import Boat, Customer, QuoteRequest
from service.problems import Problem
from service.schemas.assemblies import AssemblyShape
from service.schemas.compiler import Fallback, compiled
from service.schemas.failure import Failure, faults
from service.schemas.fields import Choice, Email, Length, Text
from service.schemas.shape import Many, Object, Shape


class BoatShape(Shape):
    """The boat."""

    made = Boat
    name = Text(120)
    length_overall = Length()


class CustomerShape(Shape):
    """Who asks."""

    made = Customer
    name = Text(120)
    reference = Text(80)
    email = Email(254)


class Assemblies(Many):
    """Assemblies whose tags differ; the bench tells them apart by nothing else."""

    def across(self, items: list[object]) -> dict[int, object]:
        """A failure at each tag that an earlier assembly has."""
        messages: dict[int, object] = {}
        first: dict[str, int] = {}
        for index, each in enumerate(items):
            tag = each.get("tag") if type(each) is dict else None
            if type(tag) is str and first.setdefault(tag, index) != index:
                words = f"the assembly at index {first[tag]} has the same tag: give each its own, or use quantity for equal ones"
                messages[index] = {"tag": [Failure("duplicate_tag", words)]}
        return messages


class QuoteRequestShape(Shape):
    """Everything a quote is made from."""

    made = QuoteRequest
    assemblies = Assemblies(Object(AssemblyShape()), 1, 200, required=True)
    boat = Object(BoatShape())
    customer = Object(CustomerShape())
    display_units = Choice(("metric", "imperial"))
    price_list = Text(40)
    delivery = Choice(("collect", "ship"))
    note = Text(2000, lines=True)


SHAPE = QuoteRequestShape()
_short_way = compiled(SHAPE)


def read_request(value: object, price_lists: Collection[str]) -> QuoteRequest:
    """The engine's request. Raises Problem (422) with every fault, a price list that the shop does not have among them."""
    found = load(value)
    messages = [] if isinstance(found, QuoteRequest) else list(faults(found))
    named = value.get("price_list") if isinstance(value, dict) else None
    if type(named) is str and named not in price_lists:
        failure = Failure("unknown_price_list", f"the shop has: {', '.join(sorted(price_lists))}")
        messages += faults({"price_list": [failure]})
    if messages or not isinstance(found, QuoteRequest):
        raise Problem(422, "The request cannot be read; each fault is listed with its place and what to write there.", messages)
    return found


def load(value: object) -> Any:
    """The request, or marshmallow's tree of messages; the short way first."""
    try:
        return _short_way(value)
    except (Fallback, ValidationError):
        return load_by_marshmallow(value)


def load_by_marshmallow(value: object) -> Any:
    """The request, or the tree of messages, by the schemas alone."""
    try:
        return SHAPE.load(value)  # type: ignore[arg-type]  # what is no object is refused there
    except ValidationError as error:
        return error.messages
