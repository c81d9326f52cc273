"""One end of a wire in a request: terminal, attachment, pins, links."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from pricing.fittings import FAMILIES
from pricing.measurement.assembly import (
    ATTACHMENTS,
    BOAT_FITTINGS,
    BOAT_HOLES,
    HANDS,
    LINK_CHANGES,
    LINKS,
    OUTER_SIDES,
    PIN_FROM,
    BoatFitting,
    End,
    Link,
)
from service.schemas.failure import Failure
from service.schemas.fields import Choice, Flag, Length, Text
from service.schemas.measured import OwnLinkSchema, OwnTerminalSchema, ThreadReadingSchema
from service.schemas.schema import Many, Object, RequestSchema


class LinkSchema(RequestSchema):
    """A link between the terminal and the load."""

    made = Link
    kind = Choice(LINKS, required=True)
    pin = Length()
    sku = Text(40)
    reuse = Flag()
    dimensions = Object(OwnLinkSchema())
    change = Choice(LINK_CHANGES)
    in_reading = Flag()
    old_length = Length()
    outer_side = Choice(OUTER_SIDES)
    sent_in = Flag()


class BoatFittingSchema(RequestSchema):
    """The boat fitting that an end is joined to."""

    made = BoatFitting
    kind = Choice(BOAT_FITTINGS, required=True)
    hole = Length()
    thickness = Length()
    width = Length()
    pin_from = Choice(PIN_FROM)


class LinkField(Object):
    """A link, or only its kind as text."""

    def expand(self, value: object) -> object:
        """`"toggle"` is short for `{"kind": "toggle"}`."""
        return {"kind": value} if type(value) is str else value


class EndSchema(RequestSchema):
    """One end; the attachment is never guessed if the terminal leaves a choice."""

    made = End
    terminal = Choice(tuple(FAMILIES), required=True)
    attachment = Choice(ATTACHMENTS)
    pin = Length()
    thread = Text(40)
    hand = Choice(HANDS)
    sku = Text(40)
    links = Many(LinkField(LinkSchema()), 0, 6)
    old_pin = Length()
    boat_hole = Choice(BOAT_HOLES)
    reuse = Flag()
    leave = Length()
    measured_pin = Length()
    measured_thread = Object(ThreadReadingSchema())
    dimensions = Object(OwnTerminalSchema())
    boat_fitting = Object(BoatFittingSchema())
    sent_in = Flag()
    joins = Text(40)
    backing_plate = Choice(LINK_CHANGES)

    def build(self, values: dict[str, Any]) -> object:
        """The end, with the attachment filled in if the terminal allows only one for every wire."""
        if messages := _contradictions(values):
            raise ValidationError(messages)
        if FAMILIES[values["terminal"]].attachments == ("sleeve",):
            values["attachment"] = "sleeve"
        return End(**values)


def _contradictions(values: dict[str, Any]) -> dict[str, list[str]]:
    terminal, attachment = values["terminal"], values.get("attachment")
    accepted = FAMILIES[terminal].attachments
    messages: dict[str, list[str]] = {}
    if attachment is None and accepted and accepted != ("sleeve",):
        messages["attachment"] = [Failure("required", f"say how this {terminal} is fixed: {' or '.join(accepted)}")]
    elif attachment is not None and attachment not in accepted:
        messages["attachment"] = [
            Failure("not_accepted", f"a {terminal} takes {' or '.join(accepted)}" if accepted else "a bare end has none")
        ]
    if "joins" in values and "boat_fitting" in values:
        messages["joins"] = [Failure("not_accepted", "an end joins another wire or a fitting of the boat: leave one of the two out")]
    if terminal == "none" and "leave" not in values:
        messages["leave"] = [Failure("required", "say how much wire to leave beyond the old bearing, for example '300 mm'")]
    elif terminal != "none" and "leave" in values:
        messages["leave"] = [
            Failure("not_accepted", "only an end whose terminal is none leaves bare wire: leave this out, or make the terminal none")
        ]
    return messages
