"""Where a wire stands on a boat, by role, side and mast. To give a new role a place, add its line to `ATHWART` or `ALONG`.

Points are (along, athwart, up): along the deck from the stern 0 to the bow 1; athwart from port −1 to starboard 1, the half breadth at the
mast; up from the deck 0 to the highest masthead 1. They are by role, not measured (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from pricing.model import QuotedAssembly

from .masts import STERN, Mast, Rig

SIDES = {"port": -1.0, "starboard": 1.0}
UPPER, LOWER = 0.1, 0.05  # lifelines, above the deck
BOOM = 0.2
GATE = (0.3, 0.42)  # along the deck
STEM = (0.985, 0.0, -0.08)  # where a bobstay is made fast, above the waterline
QUARTER = 0.8  # half the transom


class Point(NamedTuple):
    """A point of the boat."""

    along: float
    athwart: float
    up: float


@dataclass(frozen=True, slots=True)
class Course:
    """The lines that a wire follows from its upper end down, or from aft forward; its mark stands at this share of the first."""

    strokes: tuple[tuple[Point, ...], ...]
    mark: float


@dataclass(frozen=True, slots=True)
class Wire:
    """What a course depends on: the rig, the mast, the side (−1, 0, 1) and the number of a wire."""

    rig: Rig
    mast: Mast
    side: float
    number: int | None

    def tip(self, at: int) -> Point:
        """Spreader tip `at` from the deck up; the chainplate below the first, the masthead above the last."""
        tips = self.mast.tips
        out, up = (1.0, 0.0) if at <= 0 else tips[at - 1] if at <= len(tips) else (0.0, 1.0)
        return Point(self.mast.foot, out * self.side, up * self.mast.head)

    def root(self, at: int) -> Point:
        """Where spreader `at` meets the mast; the masthead above the last."""
        return Point(self.mast.foot, 0.0, self.tip(at).up)

    def on_mast(self, share: float) -> Point:
        """A point of the mast, at a share of its height."""
        return Point(self.mast.foot, 0.0, share * self.mast.head)

    def deck(self, out: float) -> Point:
        """A chainplate abreast of the mast, so far out."""
        return Point(self.mast.foot, out * self.side, 0.0)

    def ahead(self, share: float) -> Point:
        """A point of the deck before the mast, at a share of the way to where its forestay comes down."""
        foot = self.mast.foot
        up = 0.05 if self.rig.bowsprit and self.mast is self.rig.masts[0] and share == 1 else 0.0
        return Point(foot + share * (self.mast.fore - foot), 0.15 * self.side, up)


Strokes = tuple[tuple[Point, ...], ...]
Way = Callable[[Wire], Strokes | None]


def _cap(wire: Wire) -> Strokes:
    return (tuple(wire.tip(at) for at in range(wire.mast.spreaders + 1, -1, -1)),)


def _intermediate(wire: Wire) -> Strokes:
    last = wire.mast.spreaders
    between = [each._replace(athwart=0.9 * each.athwart) for each in map(wire.tip, range(last - 1, 0, -1))]
    return ((wire.root(last), *between, wire.deck(0.9)),)


def _lower(out: float, below: float) -> Way:
    return lambda wire: ((wire.root(1)._replace(up=wire.root(1).up - below), wire.deck(out)),)


def _down(share: float, out: float) -> Way:
    return lambda wire: ((wire.on_mast(share), wire.deck(out)),)


def _diamond(wire: Wire) -> Strokes:
    middle = wire.tip(wire.mast.spreaders)
    return ((wire.on_mast(0.95), middle._replace(athwart=0.7 * middle.athwart), wire.on_mast(0.16)),)


def _trapeze(wire: Wire) -> Strokes:
    return ((wire.on_mast(0.74), Point(wire.mast.foot, 1.3 * wire.side, 0.16 * wire.mast.head)),)


def _vertical(wire: Wire) -> Strokes | None:
    if wire.number is None:
        return None
    return (tuple(each._replace(athwart=0.94 * each.athwart) for each in (wire.tip(wire.number), wire.tip(wire.number - 1))),)


def _diagonal(wire: Wire) -> Strokes | None:
    if wire.number is None:
        return None
    below = wire.tip(wire.number - 1)
    return ((wire.root(wire.number), below._replace(athwart=0.86 * below.athwart)),)


def _stay(height: float, reach: float) -> Way:
    return lambda wire: ((wire.on_mast(height), wire.ahead(reach)),)


def _between(one: Point, other: Point, share: float) -> Point:
    return Point(*(a + share * (b - a) for a, b in zip(one, other, strict=True)))


def _bridle(wire: Wire) -> Point:
    return _between(wire.on_mast(1.0), Point(wire.mast.aft, 0.0, 0.0), 0.72)


def _quarter(wire: Wire) -> Point:
    return Point(wire.mast.aft, QUARTER * wire.side, 0.0)


def _backstay(wire: Wire) -> Strokes:
    head, foot = wire.on_mast(1.0), _bridle(wire) if wire.mast.bridle else _quarter(wire)
    if wire.number is None:
        return ((head, foot),)
    pieces = wire.mast.pieces
    return ((_between(head, foot, (wire.number - 1) / pieces), _between(head, foot, wire.number / pieces)),)


def _leg(wire: Wire) -> Strokes:
    return ((_bridle(wire), _quarter(wire)),)


def deck_edge(side: float, up: float = 0.0) -> tuple[Point, ...]:
    """The deck's edge from the stern to near the bow, or what runs along it at a height."""
    return tuple(Point(along, out * side, up) for along, out in ((STERN, QUARTER), (0.3, 1.0), (0.76, 1.0), (0.9, 0.5)))


def _lifeline(up: float) -> Way:
    def course(wire: Wire) -> Strokes | None:
        if not wire.side:
            return None
        aft, shoulder, forward, bow = deck_edge(wire.side, up)
        side = next(name for name, value in SIDES.items() if value == wire.side)
        if side not in wire.rig.gates:
            return ((aft, shoulder, forward, bow),)
        return ((aft, shoulder), (shoulder._replace(along=GATE[1]), forward, bow))

    return course


def _gate(wire: Wire) -> Strokes | None:
    return (tuple(Point(along, wire.side, UPPER) for along in GATE),) if wire.side else None


def _halyard(wire: Wire) -> Strokes:
    along = wire.mast.foot + 0.022 + 0.01 * wire.side
    return ((Point(along, 0.0, 0.97 * wire.mast.head), Point(along, 0.0, 0.05)),)


def _pennant(wire: Wire) -> Strokes:
    tack = wire.ahead(0.88)
    along = tack.along + 0.02 * wire.side
    return ((tack._replace(along=along, up=0.09), tack._replace(along=along, up=0.0)),)


def _bobstay(wire: Wire) -> Strokes:
    head = wire.rig.masts[0].fore
    return ((Point(head, 0.1 * wire.side, 0.05), Point(*STEM)._replace(athwart=0.3 * wire.side)),)


def _jumper(wire: Wire) -> Strokes:
    strut = Point(wire.mast.foot + 0.07 + 0.025 * wire.side, 0.3 * wire.side, 0.86 * wire.mast.head)
    return ((wire.on_mast(1.0), strut, wire.on_mast(0.72)),)


def _topping_lift(wire: Wire) -> Strokes:
    return ((wire.on_mast(0.98), Point(wire.mast.boom, 0.12 * wire.side, BOOM)),)


def _triatic(wire: Wire) -> Strokes | None:
    other = wire.rig.beside(wire.mast)
    return None if other is None else ((wire.on_mast(1.0), Point(other.foot, 0.1 * wire.side, other.head)),)


ATHWART: dict[str, tuple[Way, float]] = {
    "cap_shroud": (_cap, 0.12), "intermediate_shroud": (_intermediate, 0.4), "lower_shroud": (_lower(0.8, 0.01), 0.5),
    "fore_lower": (_lower(0.7, 0.03), 0.62), "aft_lower": (_lower(0.56, 0.05), 0.78), "running_backstay": (_down(0.9, 0.42), 0.3),
    "checkstay": (_down(0.58, 0.3), 0.3), "trapeze_wire": (_trapeze, 0.9), "diamond": (_diamond, 0.3), "vertical": (_vertical, 0.5),
    "diagonal": (_diagonal, 0.75),
}  # fmt: skip
ALONG: dict[str, tuple[Way, float]] = {
    "forestay": (_stay(1.0, 1.0), 0.42), "inner_forestay": (_stay(0.8, 0.66), 0.5), "babystay": (_stay(0.52, 0.34), 0.6),
    "backstay": (_backstay, 0.5), "backstay_leg": (_leg, 0.25), "lifeline_upper": (_lifeline(UPPER), 0.22), "lifeline_lower": (_lifeline(LOWER), 0.1),
    "gate_wire": (_gate, 0.5), "halyard": (_halyard, 0.45), "pennant": (_pennant, 0.5), "bobstay": (_bobstay, 0.5), "jumper": (_jumper, 0.5),
    "topping_lift": (_topping_lift, 0.7), "triatic": (_triatic, 0.5),
}  # fmt: skip


def course(assembly: QuotedAssembly, rig: Rig) -> Course | None:
    """Where an assembly's wire stands; None where its role, side or number does not say.

    What is led athwart has a place on one side alone; a triatic stay needs a second mast.
    """
    way, mark = (ATHWART | ALONG).get(assembly.role, (None, 0.5))
    side = SIDES.get(assembly.side or "", 0.0)
    if way is None or (assembly.role in ATHWART and not side):
        return None
    strokes = way(Wire(rig, rig.mast(assembly.mast), side, assembly.number))
    return None if strokes is None else Course(strokes, mark)


def stanchions(side: float) -> Iterable[Point]:
    """Where stanchions stand on the deck's edge."""
    edge = deck_edge(side)
    yield edge[0]
    yield from (Point(along, side, 0.0) for along in (*GATE, 0.59, 0.76))
    yield edge[-1]
