"""Where wires of one request join each other: an insulator between the pieces of a stay, a bridle plate above the legs of a backstay.

What lies between two wires belongs to one of them, where it is built and billed once; here the faces that meet are held against each other.
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


class Met(NamedTuple):
    """One end of one assembly."""

    place: int
    end: str


def _side(assessments: tuple[Assessment, ...], met: Met) -> Side | None:
    built = assessments[met.place].built
    return built.upper if met.end == "upper" else built.lower


def _said(assessments: tuple[Assessment, ...]) -> Iterable[tuple[Met, str]]:
    """Every end that joins another wire, with that wire's tag."""
    for place, assessment in enumerate(assessments):
        assembly = assessment.built.assembly
        for name, end in (("upper", assembly.upper), ("lower", assembly.lower)):
            if end.joins is not None:
                yield Met(place, name), end.joins


def meetings(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """Each two ends that meet go together, with at most as many wires at an end as it has holes."""
    places = {assessment.built.assembly.tag: place for place, assessment in enumerate(assessments)}
    joined: dict[Met, dict[Met, None]] = defaultdict(dict)
    for one, tag in _said(assessments):
        place = places.get(tag)
        if place is None or place == one.place:
            yield one.place, finding(JOINED_MISSING, f"{one.end}/joins", end=phrase(f"end.{one.end}"), tag=Text(tag))
            continue
        other = Met(place, OTHER[one.end])
        if one not in joined[other]:
            for misfit_finding in _together(assessments, one, other):
                yield one.place, misfit_finding
        joined[other][one] = joined[one][other] = None
    yield from _crowds(assessments, joined)


def _together(assessments: tuple[Assessment, ...], one: Met, other: Met) -> Iterable[Finding]:
    inner, outer = _side(assessments, one), _side(assessments, other)
    if inner is None or outer is None:
        return
    kinds = [side.links.laid[-1].kind if side.links.laid else "" for side in (inner, outer)]
    joint = join(inner.links.face, outer.links.face)
    if kinds[0] == kinds[1] and kinds[0] in BETWEEN_WIRES:
        tag = assessments[other.place].built.assembly.tag
        yield finding(LINK_AT_BOTH, f"{one.end}/joins", part=phrase(f"link.{kinds[0]}"), tag=Text(tag))
    elif isinstance(joint, Unfit):
        yield misfit(joint, f"{one.end}/joins")


def _crowds(assessments: tuple[Assessment, ...], joined: dict[Met, dict[Met, None]]) -> Iterable[Placed]:
    for met, others in joined.items():
        side = _side(assessments, met)
        if side is None:
            continue
        holes = HOLES.get(side.links.laid[-1].kind, 1) if side.links.laid else 1
        wires = sum(assessments[each.place].built.assembly.quantity for each in others)
        if wires > holes * assessments[met.place].built.assembly.quantity:
            of = side.links.face.of
            yield met.place, finding(CROWDED, f"{met.end}", of=of, wires=Count(wires), holes=Count(holes))
