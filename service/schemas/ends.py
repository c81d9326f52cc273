"""One end of a wire as a request writes it: terminal, how it is fixed, pins, links."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from pricing.assembly import ATTACHMENTS, BOAT_HOLES, HANDS, LINKS, TERMINALS, End, Link
from pricing.fittings import FAMILIES
from service.schemas.failure import Failure
from service.schemas.fields import Choice, Flag, Length, Text
from service.schemas.measured import OwnLinkShape, OwnTerminalShape, ThreadReadingShape
from service.schemas.shape import Many, Object, Shape


class LinkShape(Shape):
    """A toggle or shackle between terminal and load."""

    made = Link
    kind = Choice(LINKS, required=True)
    pin = Length()
    sku = Text(40)
    reuse = Flag()
    dimensions = Object(OwnLinkShape())


class LinkField(Object):
    """A link, or its kind alone as text."""

    def expand(self, value: object) -> object:
        """`"toggle"` stands for `{"kind": "toggle"}`."""
        return {"kind": value} if type(value) is str else value


class EndShape(Shape):
    """One end; an attachment is never guessed where the terminal leaves a choice."""

    made = End
    terminal = Choice(TERMINALS, required=True)
    attachment = Choice(ATTACHMENTS)
    pin = Length()
    thread = Text(40)
    hand = Choice(HANDS)
    sku = Text(40)
    links = Many(LinkField(LinkShape()), 0, 6)
    old_pin = Length()
    boat_hole = Choice(BOAT_HOLES)
    reuse = Flag()
    leave = Length()
    measured_pin = Length()
    measured_thread = Object(ThreadReadingShape())
    dimensions = Object(OwnTerminalShape())

    def build(self, values: dict[str, Any]) -> object:
        """The end, with the attachment filled in where the terminal has only one that any wire takes."""
        if messages := _contradictions(values):
            raise ValidationError(messages)
        if values["terminal"] == "thimble_eye":
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
    if terminal == "none" and "leave" not in values:
        messages["leave"] = [Failure("required", "say how much wire to leave beyond the old bearing, for example '300 mm'")]
    elif terminal != "none" and "leave" in values:
        messages["leave"] = [Failure("not_accepted", "only an end with terminal none leaves wire: remove it, or write none")]
    return messages
