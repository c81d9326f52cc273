"""Ball stops on the wire: converts the measured position of the bearing ring to a position that the bench can mark on the cut wire."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.fittings.barrel import ring_to_centre
from pricing.fittings.ended import instead_of, no_longer_sold
from pricing.values import Count, Length, Phrase, Size, Value, compared, phrase, sizes

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import Stop
    from pricing.rows import Ball, Wire

NO_BALL = code("no-ball-for-wire", "stop", "The catalogue has no ball stop of that size for that wire.")
BALL_ASSUMED = code(
    "ball-assumed", "ask", "The ball's diameter was not given and the catalogue has more than one; the smallest was assumed."
)
STOP_PULLS_THROUGH = code("stop-pulls-through", "stop", "A ball stop is not larger than the slot or claw it bears on.")
STOP_SLOT_NARROW = code("stop-slot-narrow", "stop", "The slot or claw that a ball stop bears on is too narrow for the wire.")
STOP_OFF_WIRE = code("stop-off-the-wire", "stop", "A ball stop lies on a terminal or beyond the free wire.")
STOP_TOO_NEAR = code("stop-too-near", "ask", "A ball stop is nearer to a terminal, sleeve or other stop than the least clearance.")
STOPS_OUT_OF_ORDER = code("stops-out-of-order", "ask", "Ball stops were not named in their order from upper to lower.")


class Wireway(NamedTuple):
    """The free wire between both fittings, mm.

    Its length, the member length between each bearing and it, the part covered by each fitting, and the wire taken by the upper one.
    """

    free: Decimal
    upper_member: Decimal
    lower_member: Decimal
    upper_covered: Decimal
    lower_covered: Decimal
    upper_taken: Decimal


class PlacedStop(NamedTuple):
    """A stop on the wire.

    Its centre is given from the upper mouth or sleeve face along the free wire, from the upper bearing, and from the upper cut end.
    """

    place: int
    ball: Ball
    slot: Decimal
    along: Decimal
    from_upper_bearing: Decimal
    from_upper_cut_end: Decimal


def place_stops(
    stops: tuple[Stop, ...], offsets: Mapping[str, Decimal], wireway: Wireway, wire: Wire, catalogue: Catalogue, clearance: Decimal
) -> tuple[tuple[PlacedStop, ...], tuple[Finding, ...]]:
    """Place the stops, with findings. `offsets`: by end, the distance from the reading's datum to the bearing; `clearance` in mm."""
    placed: list[PlacedStop] = []
    findings: list[Finding] = []
    for place, stop in enumerate(stops):
        ball, ball_findings = _ball(place, stop, wire, catalogue)
        findings += ball_findings
        if ball is None:
            continue
        slot = stop.slot or ball.slot
        if slot >= ball.ball:
            findings.append(finding(STOP_PULLS_THROUGH, f"stops/{place}", ball=Size(ball.ball), slot=Length(slot)))
            continue
        if slot <= wire.diameter:
            findings.append(finding(STOP_SLOT_NARROW, f"stops/{place}", wire=Size(wire.diameter), slot=Length(slot)))
            continue
        placed.append(_place(place, stop, ball, slot, offsets, wireway))
    findings += _off_wire(placed, wireway) or _crowded(placed, wireway, clearance)
    return tuple(placed), tuple(findings)


def _place(place: int, stop: Stop, ball: Ball, slot: Decimal, offsets: Mapping[str, Decimal], wireway: Wireway) -> PlacedStop:
    ring = stop.position + offsets[stop.from_end]
    centre = ring_to_centre(ball.ball, slot)
    centre = ring + centre if stop.bears_toward == stop.from_end else ring - centre
    along = centre - wireway.upper_member if stop.from_end == "upper" else wireway.free - (centre - wireway.lower_member)
    along = thousandth(along)
    return PlacedStop(place, ball, slot, along, along + wireway.upper_member, along + wireway.upper_taken)


def _ball(place: int, stop: Stop, wire: Wire, catalogue: Catalogue) -> tuple[Ball | None, list[Finding]]:
    rows, known = catalogue.balls(wire.diameter), catalogue.with_discontinued.balls(wire.diameter)
    named = sorted({row.ball for row in known if stop.ball is None or abs(row.ball - stop.ball) < Decimal("0.1")})
    fitting = [row for row in rows if row.ball in (named if stop.ball is None else named[:1])]
    if not fitting and named and (catalogue.with_discontinued is not catalogue):
        gone = next(row for row in known if row.ball == named[0])
        return None, [no_longer_sold(f"stops/{place}", gone, instead_of(gone, catalogue, wire))]
    if not fitting:
        of_wire = Size(wire.diameter)
        if not rows:
            return None, [finding(NO_BALL, f"stops/{place}", "none", wire=of_wire)]
        return None, [finding(NO_BALL, f"stops/{place}", "others", wire=of_wire, balls=sizes((row.ball for row in rows), "or"))]
    row = min(fitting, key=lambda each: each.ball)
    if len(named) > 1:
        return row, [finding(BALL_ASSUMED, f"stops/{place}", ball=Size(row.ball))]
    return row, []


def _off_wire(placed: list[PlacedStop], wireway: Wireway) -> list[Finding]:
    findings = []
    for stop in placed:
        half = stop.ball.ball / 2
        if stop.along - half < wireway.upper_covered or stop.along + half > wireway.free - wireway.lower_covered:
            values: dict[str, Value] = {"stop": Count(stop.place + 1), "along": Length(stop.from_upper_bearing)}
            findings.append(finding(STOP_OFF_WIRE, f"stops/{stop.place}/position", "off", **values))
    return findings


def _crowded(placed: list[PlacedStop], wireway: Wireway, clearance: Decimal) -> list[Finding]:
    findings = []
    if [stop.place for stop in sorted(placed, key=lambda each: each.along)] != [stop.place for stop in placed]:
        findings.append(finding(STOPS_OUT_OF_ORDER, "stops"))
    edge, who = wireway.upper_covered, phrase("beside.upper")
    for stop in sorted(placed, key=lambda each: each.along):
        half = stop.ball.ball / 2
        findings += _near(stop, stop.along - half - edge, who, clearance)
        edge, who = stop.along + half, phrase("beside.stop", stop=Count(stop.place + 1))
    if placed:
        last = max(placed, key=lambda each: each.along)
        findings += _near(last, wireway.free - wireway.lower_covered - edge, phrase("beside.lower"), clearance)
    return findings


def _near(stop: PlacedStop, gap: Decimal, who: Phrase, clearance: Decimal) -> list[Finding]:
    if gap >= clearance:
        return []
    if gap < 0:
        overlapped: dict[str, Value] = {"stop": Count(stop.place + 1), "beside": who, "overlap": Length(-gap)}
        return [finding(STOP_OFF_WIRE, f"stops/{stop.place}/position", "overlap", **overlapped)]
    free, least = compared(gap, clearance)
    values: dict[str, Value] = {"stop": Count(stop.place + 1), "beside": who, "gap": free, "least": least}
    return [finding(STOP_TOO_NEAR, f"stops/{stop.place}/position", **values)]
