"""The bodies with which a quote is accepted, declined, withdrawn, or its finished assemblies are recorded."""

from __future__ import annotations

from typing import Any, TypeVar

from marshmallow import ValidationError

from pricing.as_built import Finished
from service.life.said import Acceptance, AcceptingCustomer, BuiltRecord, Ending, LinkOrder, Taking
from service.problems import Problem
from service.schemas.failure import faults
from service.schemas.fields import Count, Length, Text
from service.schemas.shape import Many, Object, Shape

T = TypeVar("T")


class AcceptingCustomerShape(Shape):
    """Who accepts."""

    made = AcceptingCustomer
    name = Text(120, required=True)


class AcceptanceShape(Shape):
    """A customer's yes."""

    made = Acceptance
    customer = Object(AcceptingCustomerShape(), required=True)
    note = Text(1000, lines=True)


class EndingShape(Shape):
    """A no, or a withdrawal."""

    made = Ending
    by = Text(120)
    reason = Text(1000, lines=True)


class LinkOrderShape(Shape):
    """A link to a quote."""

    made = LinkOrder
    days = Count(1, 366)


class FinishedShape(Shape):
    """One finished assembly."""

    made = Finished
    tag = Text(40, required=True)
    piece = Count(1, 999)
    finished_length = Length(required=True)
    upper_shank = Many(Length(), 1, 8)
    lower_shank = Many(Length(), 1, 8)


class BuiltRecordShape(Shape):
    """What the bench built."""

    made = BuiltRecord
    assemblies = Many(Object(FinishedShape()), 1, 400, required=True)
    by = Text(120)
    note = Text(1000, lines=True)


class TakingShape(Shape):
    """Who moves wire on or off the shelf."""

    made = Taking
    by = Text(120)
    note = Text(1000, lines=True)


ACCEPTANCE, ENDING, BUILT, TAKING, LINK = AcceptanceShape(), EndingShape(), BuiltRecordShape(), TakingShape(), LinkOrderShape()


def read(shape: Shape, value: object) -> Any:
    """What a decoded body says. Raises Problem (422) with every fault."""
    try:
        return shape.load(value)  # type: ignore[arg-type]  # what is no object is refused there
    except ValidationError as error:
        messages = list(faults(error.messages))
    raise Problem(422, "The request cannot be read; each fault is listed with its place and what to write there.", messages)
