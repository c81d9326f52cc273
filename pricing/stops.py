"""Ball stops on the wire: from the bearing ring that the customer measured to a place on the cut wire that the bench can mark."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.fittings.barrel import ring_to_centre
from pricing.units import nominal, spoken

if TYPE_CHECKING:
    from pricing.assembly import Stop
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Ball, Wire

NO_BALL = code("no-ball-for-wire", "stop", "The catalogue has no ball stop of that size for that wire.")
BALL_ASSUMED = code(
    "ball-assumed", "ask", "The ball's diameter was not said and the catalogue has more than one; the smallest was assumed."
)
STOP_PULLS_THROUGH = code("stop-pulls-through", "stop", "A ball stop is not larger than the slot or claw it bears on.")
STOP_OFF_WIRE = code("stop-off-the-wire", "stop", "A ball stop lies on a terminal or beyond the free wire.")
STOP_TOO_NEAR = code("stop-too-near", "ask", "A ball stop is nearer to a terminal, sleeve or other stop than the least clearance.")
STOPS_OUT_OF_ORDER = code("stops-out-of-order", "ask", "Ball stops were not named in their order from upper to lower.")


class Wireway(NamedTuple):
    """The free wire between both fittings, mm: its length, what stands between each bearing and it, what each fitting covers of it, and the
    wire each fitting takes."""

    free: Decimal
    upper_member: Decimal
    lower_member: Decimal
    upper_covered: Decimal
    lower_covered: Decimal
    upper_taken: Decimal


class PlacedStop(NamedTuple):
    """A stop on the wire: centre from the upper mouth or sleeve face along the free wire, from the upper bearing, and from the upper cut end."""

    place: int
    ball: Ball
    slot: Decimal
    along: Decimal
    from_upper_bearing: Decimal
    from_upper_cut_end: Decimal


def place_stops(
    stops: tuple[Stop, ...], offsets: dict[str, Decimal], way: Wireway, wire: Wire, catalogue: Catalogue, clearance: Decimal
) -> tuple[tuple[PlacedStop, ...], tuple[Finding, ...]]:
    """Place each stop. `offsets` give the distance from each end's declared datum to the target's bearing there; `clearance` in mm."""
    placed: list[PlacedStop] = []
    findings: list[Finding] = []
    for place, stop in enumerate(stops):
        ball, said = _ball(place, stop, wire, catalogue)
        findings += said
        if ball is None:
            continue
        slot = stop.slot or ball.slot
        if slot >= ball.ball:
            message = f"A {nominal(ball.ball)} ball pulls through a {spoken(slot)} slot."
            findings.append(finding(STOP_PULLS_THROUGH, f"stops/{place}", message, "Measure the slot again, or choose a larger ball."))
            continue
        placed.append(_place(place, stop, ball, slot, offsets, way))
    findings += _off_wire(placed, way) or _crowded(placed, way, clearance)
    return tuple(placed), tuple(findings)


def _place(place: int, stop: Stop, ball: Ball, slot: Decimal, offsets: dict[str, Decimal], way: Wireway) -> PlacedStop:
    ring = stop.position + offsets[stop.from_end]
    centre = ring_to_centre(ball.ball, slot)
    centre = ring + centre if stop.bears_toward == stop.from_end else ring - centre
    along = centre - way.upper_member if stop.from_end == "upper" else way.free - (centre - way.lower_member)
    along = thousandth(along)
    return PlacedStop(place, ball, slot, along, along + way.upper_member, along + way.upper_taken)


def _ball(place: int, stop: Stop, wire: Wire, catalogue: Catalogue) -> tuple[Ball | None, list[Finding]]:
    rows = catalogue.balls(wire.diameter)
    fitting = [row for row in rows if stop.ball is None or abs(row.ball - stop.ball) < Decimal("0.1")]
    if not fitting:
        sizes = " or ".join(nominal(row.ball) for row in rows) or "none"
        message = f"No ball stop of that diameter for {wire.size} wire; the catalogue has {sizes}."
        return None, [finding(NO_BALL, f"stops/{place}", message, "Measure the ball's diameter and say `ball`, or choose another.")]
    row = min(fitting, key=lambda each: each.ball)
    if len(fitting) > 1:
        message = f"The ball's diameter was not said; {nominal(row.ball)} was taken."
        return row, [finding(BALL_ASSUMED, f"stops/{place}", message, "Measure the ball's diameter and say `ball`.")]
    return row, []


def _off_wire(placed: list[PlacedStop], way: Wireway) -> list[Finding]:
    found = []
    for stop in placed:
        half = stop.ball.ball / 2
        if stop.along - half < way.upper_covered or stop.along + half > way.free - way.lower_covered:
            message = f"This stop's centre would lie {spoken(stop.from_upper_bearing)} from the upper bearing, not on free wire."
            remedy = "Measure its bearing ring again, and from which end."
            found.append(finding(STOP_OFF_WIRE, f"stops/{stop.place}/position", message, remedy))
    return found


def _crowded(placed: list[PlacedStop], way: Wireway, clearance: Decimal) -> list[Finding]:
    found = []
    if [stop.place for stop in sorted(placed, key=lambda each: each.along)] != [stop.place for stop in placed]:
        found.append(
            finding(
                STOPS_OUT_OF_ORDER, "stops", "The stops do not follow each other from upper to lower.", "Check position and end of each."
            )
        )
    edge, who = way.upper_covered, "the upper fitting"
    for stop in sorted(placed, key=lambda each: each.along):
        half = stop.ball.ball / 2
        found += _near(stop, stop.along - half - edge, who, clearance)
        edge, who = stop.along + half, f"stop {stop.place + 1}"
    if placed:
        last = max(placed, key=lambda each: each.along)
        found += _near(last, way.free - way.lower_covered - edge, "the lower fitting", clearance)
    return found


def _near(stop: PlacedStop, gap: Decimal, who: str, clearance: Decimal) -> list[Finding]:
    if gap >= clearance:
        return []
    if gap < 0:
        message = f"This stop overlaps {who} by {spoken(-gap)}."
        return [finding(STOP_OFF_WIRE, f"stops/{stop.place}/position", message, "Measure both stops again, and from which end.")]
    message = f"Only {spoken(gap)} of clear wire lie between this stop and {who}; {spoken(clearance)} is the least."
    return [
        finding(
            STOP_TOO_NEAR,
            f"stops/{stop.place}/position",
            message,
            "Confirm the position; a press needs room and the wire must bend freely.",
        )
    ]
