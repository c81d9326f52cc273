"""What the customer measured because the catalogue does not know it: kept fittings, threads, the old turnbuckle, a lifeline's
deflection.
"""

from __future__ import annotations

from pricing.measurement.assembly import DeflectionTest, OldTurnbuckle, OwnLink, OwnTerminal, OwnTurnbuckle, TapeComparison, ThreadReading
from pricing.units import parse_force, parse_temperature
from service.schemas.fields import Count, Length, Quantity
from service.schemas.schema import RequestSchema


class ThreadReadingSchema(RequestSchema):
    """A thread as measured; the engine identifies it."""

    made = ThreadReading
    diameter = Length(required=True)
    threads = Count(1, 200, required=True)
    over = Length(required=True)


class OwnTerminalSchema(RequestSchema):
    """A kept terminal; a plain tip may be zero."""

    made = OwnTerminal
    reach = Length()
    depth = Length()
    hole = Length()
    tip = Length()
    jaw = Length()
    jaw_over = Length()
    tongue = Length()
    thread_length = Length()
    plain_tip = Length(zero=True)
    groove = Length()
    to_sleeve = Length()
    thickness = Length()
    within = Length()


class OwnLinkSchema(RequestSchema):
    """A kept link."""

    made = OwnLink
    length = Length()
    inner_hole = Length()
    hole = Length()
    jaw = Length()
    jaw_over = Length()
    tongue = Length()
    bow = Length()
    within = Length()


class OwnTurnbuckleSchema(RequestSchema):
    """A kept turnbuckle; a plain tip and a locknut may be zero."""

    made = OwnTurnbuckle
    body = Length()
    thread_length = Length()
    runout = Length()
    plain_tip = Length(zero=True)
    locknut = Length(zero=True)
    within = Length()


class OldTurnbuckleSchema(RequestSchema):
    """The turnbuckle that is being replaced."""

    made = OldTurnbuckle
    stud_thread_length = Length()
    body = Length()
    runout = Length()


class TapeComparisonSchema(RequestSchema):
    """A tape compared with a more accurate one."""

    made = TapeComparison
    marked = Length(required=True)
    true = Length(required=True)
    within = Length()
    temperature = Quantity(parse_temperature, "18 degC")
    pull = Quantity(parse_force, "50 N")


class DeflectionTestSchema(RequestSchema):
    """A lifeline pressed down midway between two supports."""

    made = DeflectionTest
    span = Length(required=True)
    deflection = Length(required=True)
    force = Quantity(parse_force, "50 N", required=True)
