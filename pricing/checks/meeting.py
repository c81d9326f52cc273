"""Where wires of one request join each other: an insulator between the pieces of a stay, a bridle plate above the legs of a backstay.

A link between two wires belongs to one of them, where it is built and billed once; here the faces that meet are checked against each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.joints import Unfit, join
from pricing.joints.findings import misfit
from pricing.joints.members import BETWEEN_WIRES, HOLES
from pricing.values import Count, Text, phrase

if TYPE_CHECKING:
    from pricing.checks.assessment import Assessment
    from pricing.checks.base import Placed, Shop
    from pricing.geometry.sides import Side

JOINED_MISSING = code("joined-wire-missing", "ask", "An end is to join a wire that is not in the request, or itself.")
LINK_AT_BOTH = code(
    "link-at-both-wires", "stop", "An insulator or bridle plate between two wires was given at both of them, and would be built twice."
)
CROWDED = code("too-many-wires-joined", "stop", "More wires join an end than it has holes for.")
OTHER = {"upper": "lower", "lower": "upper"}


class WireEnd(NamedTuple):
    """One end of one assembly."""

    place: int
    end: str


def _side(assessments: tuple[Assessment, ...], wire_end: WireEnd) -> Side | None:
    built = assessments[wire_end.place].built
    return built.upper if wire_end.end == "upper" else built.lower


def _joining_ends(assessments: tuple[Assessment, ...]) -> Iterable[tuple[WireEnd, str]]:
    """Every end that is to join another wire, with that wire's tag."""
    for place, assessment in enumerate(assessments):
        assembly = assessment.built.assembly
        for name, end in (("upper", assembly.upper), ("lower", assembly.lower)):
            if end.joins is not None:
                yield WireEnd(place, name), end.joins


def meetings(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """Ends that meet must mate, and an end must have a hole for each wire that joins it."""
    places = {assessment.built.assembly.tag: place for place, assessment in enumerate(assessments)}
    joined: dict[WireEnd, dict[WireEnd, None]] = defaultdict(dict)
    for one, tag in _joining_ends(assessments):
        place = places.get(tag)
        if place is None or place == one.place:
            yield one.place, finding(JOINED_MISSING, f"{one.end}/joins", end=phrase(f"end.{one.end}"), tag=Text(tag))
            continue
        other = WireEnd(place, OTHER[one.end])
        if one not in joined[other]:
            for misfit_finding in _together(assessments, one, other):
                yield one.place, misfit_finding
        joined[other][one] = joined[one][other] = None
    yield from _crowds(assessments, joined)


def _together(assessments: tuple[Assessment, ...], one: WireEnd, other: WireEnd) -> Iterable[Finding]:
    inner, outer = _side(assessments, one), _side(assessments, other)
    if inner is None or outer is None:
        return
    kinds = [side.links.new[-1].kind if side.links.new else "" for side in (inner, outer)]
    joint = join(inner.links.face, outer.links.face)
    if kinds[0] == kinds[1] and kinds[0] in BETWEEN_WIRES:
        tag = assessments[other.place].built.assembly.tag
        yield finding(LINK_AT_BOTH, f"{one.end}/joins", part=phrase(f"link.{kinds[0]}"), tag=Text(tag))
    elif isinstance(joint, Unfit):
        yield misfit(joint, f"{one.end}/joins")


def _crowds(assessments: tuple[Assessment, ...], joined: dict[WireEnd, dict[WireEnd, None]]) -> Iterable[Placed]:
    for wire_end, others in joined.items():
        side = _side(assessments, wire_end)
        if side is None:
            continue
        holes = HOLES.get(side.links.new[-1].kind, 1) if side.links.new else 1
        wires = sum(assessments[each.place].built.assembly.quantity for each in others)
        if wires > holes * assessments[wire_end.place].built.assembly.quantity:
            of = side.links.face.of
            yield wire_end.place, finding(CROWDED, f"{wire_end.end}", of=of, wires=Count(wires), holes=Count(holes))
