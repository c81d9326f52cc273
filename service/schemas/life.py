"""Request bodies for accepting, declining and withdrawing a quote, and for recording its finished assemblies."""

from __future__ import annotations

from typing import Any, TypeVar

from marshmallow import ValidationError

from pricing.records.as_built import Finished
from service.http.problems import Problem
from service.lifecycle.actions import (
    Acceptance,
    AcceptingCustomer,
    Answering,
    Asking,
    BuiltRecord,
    Cancelling,
    Declining,
    DecliningCustomer,
    Ending,
    Handover,
    LinkEnding,
    LinkOrder,
    Measured,
    MovementOrder,
    SettlementOrder,
    SettlementOrders,
    Undoing,
)
from service.schemas.failure import faults
from service.schemas.fields import Anything, Choice, Count, Email, Length, Pointer, Text
from service.schemas.schema import Many, Object, RequestSchema

T = TypeVar("T")


class AcceptingCustomerSchema(RequestSchema):
    """The customer who accepts."""

    made = AcceptingCustomer
    name = Text(120, required=True)
    email = Email(254)


class AcceptanceSchema(RequestSchema):
    """A customer's acceptance."""

    made = Acceptance
    customer = Object(AcceptingCustomerSchema(), required=True)
    note = Text(1000, lines=True)
    open = Choice(("as_listed",))
    understood = Text(1000, lines=True)


class MeasuredSchema(RequestSchema):
    """What was measured in place of a doubt."""

    made = Measured
    pointer = Pointer(300, required=True)
    value = Anything(required=True)


class SettlementOrderSchema(RequestSchema):
    """An answer to one finding."""

    made = SettlementOrder
    tag = Text(40)
    code = Text(100, required=True)
    pointer = Pointer(300, required=True)
    words = Text(1000, required=True, lines=True)
    by = Text(120, required=True)
    measured = Many(Object(MeasuredSchema()), 1, 20)


class SettlementOrdersSchema(RequestSchema):
    """Several answers at once."""

    made = SettlementOrders
    settlements = Many(Object(SettlementOrderSchema()), 1, 1000, required=True)


class UndoingSchema(RequestSchema):
    """Why a settlement is undone."""

    made = Undoing
    by = Text(120, required=True)
    reason = Text(1000, required=True, lines=True)


class CancellingSchema(RequestSchema):
    """Why what was accepted is cancelled."""

    made = Cancelling
    reason = Text(1000, required=True, lines=True)
    by = Text(120)


class HandoverSchema(RequestSchema):
    """Who handed over, and to whom."""

    made = Handover
    by = Text(120)
    to = Text(120)
    note = Text(1000, lines=True)


class EndingSchema(RequestSchema):
    """A withdrawal."""

    made = Ending
    by = Text(120)
    reason = Text(1000, lines=True)


class DecliningCustomerSchema(RequestSchema):
    """The customer who declines."""

    made = DecliningCustomer
    email = Email(254, required=True)


class DecliningSchema(EndingSchema):
    """A customer's refusal."""

    made = Declining
    customer = Object(DecliningCustomerSchema())


class AskingSchema(RequestSchema):
    """A question to the shop."""

    made = Asking
    words = Text(2000, required=True, lines=True)


class AnsweringSchema(RequestSchema):
    """The shop's answer to a question."""

    made = Answering
    words = Text(2000, required=True, lines=True)
    by = Text(120, required=True)


class LinkEndingSchema(RequestSchema):
    """Who ends the links to a quote."""

    made = LinkEnding
    by = Text(120)


class LinkOrderSchema(RequestSchema):
    """A link to a quote."""

    made = LinkOrder
    days = Count(1, 366)


class FinishedSchema(RequestSchema):
    """One finished assembly."""

    made = Finished
    tag = Text(40, required=True)
    piece = Count(1, 999)
    finished_length = Length(required=True)
    upper_shank = Many(Length(), 1, 8)
    lower_shank = Many(Length(), 1, 8)


class BuiltRecordSchema(RequestSchema):
    """What the bench built."""

    made = BuiltRecord
    assemblies = Many(Object(FinishedSchema()), 1, 400, required=True)
    by = Text(120)
    note = Text(1000, lines=True)


class MovementOrderSchema(RequestSchema):
    """Who moves wire on or off the shelf, with a note."""

    made = MovementOrder
    by = Text(120)
    note = Text(1000, lines=True)


ACCEPTANCE, ENDING, BUILT, MOVEMENT, LINK = (
    AcceptanceSchema(),
    EndingSchema(),
    BuiltRecordSchema(),
    MovementOrderSchema(),
    LinkOrderSchema(),
)
ASKING, ANSWERING, LINKS_ENDING, DECLINING = AskingSchema(), AnsweringSchema(), LinkEndingSchema(), DecliningSchema()
SETTLEMENTS, UNDOING, CANCELLING, HANDOVER = SettlementOrdersSchema(), UndoingSchema(), CancellingSchema(), HandoverSchema()


def read(schema: RequestSchema, value: object) -> Any:
    """The content of a decoded body. Raises Problem (422) with every fault."""
    try:
        return schema.load(value)  # type: ignore[arg-type]  # anything but an object is refused there
    except ValidationError as error:
        messages = list(faults(error.messages))
    raise Problem(422, "The request cannot be read; each fault is listed with its place and what to write there.", messages)
