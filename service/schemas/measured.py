"""What the customer measured where the catalogue does not know: kept fittings, threads, the old turnbuckle, a lifeline's deflection."""

from __future__ import annotations

from pricing.assembly import DeflectionTest, OldTurnbuckle, OwnLink, OwnTerminal, OwnTurnbuckle, TapeComparison, ThreadReading
from pricing.units import parse_force
from service.schemas.fields import Count, Length, Quantity
from service.schemas.shape import Shape


class ThreadReadingShape(Shape):
    """A thread as measured; the engine names it."""

    made = ThreadReading
    diameter = Length(required=True)
    threads = Count(1, 200, required=True)
    over = Length(required=True)


class OwnTerminalShape(Shape):
    """A kept terminal; a plain tip may be zero."""

    made = OwnTerminal
    reach = Length()
    depth = Length()
    hole = Length()
    tip = Length()
    jaw = Length()
    thread_length = Length()
    plain_tip = Length(zero=True)
    within = Length()


class OwnLinkShape(Shape):
    """A kept toggle or shackle."""

    made = OwnLink
    length = Length()
    inner_hole = Length()
    hole = Length()
    within = Length()


class OwnTurnbuckleShape(Shape):
    """A kept turnbuckle; a plain tip and a locknut may be zero."""

    made = OwnTurnbuckle
    body = Length()
    thread_length = Length()
    runout = Length()
    plain_tip = Length(zero=True)
    locknut = Length(zero=True)
    within = Length()


class OldTurnbuckleShape(Shape):
    """The turnbuckle that is replaced."""

    made = OldTurnbuckle
    stud_thread_length = Length(required=True)
    body = Length(required=True)
    runout = Length(required=True)


class TapeComparisonShape(Shape):
    """A tape held against a better one."""

    made = TapeComparison
    marked = Length(required=True)
    true = Length(required=True)


class DeflectionTestShape(Shape):
    """A lifeline pressed midway between two supports."""

    made = DeflectionTest
    span = Length(required=True)
    deflection = Length(required=True)
    force = Quantity(parse_force, "50 N", required=True)
