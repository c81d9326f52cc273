"""Plausibility against the hull's length: wire lengths as shares of it, by role and mast, and the size of standing wire.

The ranges are terms of the shop; their defaults are from memory, tried on made-up boats. For a divided stay, the sum of the pieces counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.checks.assessment import Assessment
from pricing.checks.base import Placed, Shop, first_to_cut, known_length
from pricing.checks.rig_names import named_wire
from pricing.findings import Finding, code, finding
from pricing.measurement.roles import ROLES
from pricing.values import Length, Number, Percent, Size, Value

if TYPE_CHECKING:
    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import Assembly

IMPLAUSIBLE = code("length-implausible", "ask", "The length is outside what the shop expects of that wire on a hull of that length.")
SIZE_IMPLAUSIBLE = code(
    "wire-size-implausible", "ask", "Standing wire is thinner or thicker than the shop expects on a hull of that length."
)
HULL_MISSING = code(
    "hull-length-missing",
    "ask",
    "The hull's length was not given, so lengths and sizes were not checked for plausibility. Asked once per boat.",
)
LONGEST = Decimal(100_000)  # mm, for wires without a range; common practice, no source
HUNDREDTH = Decimal("0.01")
WHOLE = Decimal(1)


class Range(NamedTuple):
    """Least and greatest ratio of wire length to hull length; None means no lower limit."""

    least: Decimal | None
    most: Decimal


def expected(role: str, mast: str, terms: Terms) -> Range | None:
    """The range for a role, or None if there is no customary one. Any mast but the main one has a mizzen's lower limits."""
    named = ROLES[role].length
    if not named:
        return None
    main = mast == "main"
    cap, lower = (
        (terms.cap_share_least, terms.lower_share_least) if main else (terms.mizzen_cap_share_least, terms.mizzen_lower_share_least)
    )
    match named:
        case "cap":
            return Range(cap, terms.cap_share_most)
        case "intermediate":
            return Range(lower, terms.cap_share_most)
        case "lower":
            return Range(lower, terms.lower_share_most)
        case "stay":
            return Range(terms.stay_share_least if main else cap, terms.stay_share_most)
        case "inner_stay":
            return Range(lower, terms.stay_share_most)
        case "up_to_cap":
            return Range(None, terms.cap_share_most)
        case "up_to_stay":
            return Range(None, terms.stay_share_most)  # no standing wire is longer than the longest stay
        case "lifeline":
            return Range(None, terms.lifeline_share_most)
        case _:
            return None


def plausible(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """Check every length that can be compared with the hull's; if the hull's length is missing, ask for it once."""
    hull = shop.request.boat.length_overall
    if hull is None:
        yield from _without_hull(assessments, shop.terms)
    else:
        yield from _sizes(assessments, hull, shop.terms)
        yield from _lengths(assessments, hull, shop.terms)
    for place, assessment in enumerate(assessments):
        assembly = assessment.built.assembly
        length = known_length(assessment)
        judged_by_hull = hull is not None and expected(assembly.role, assembly.mast, shop.terms) is not None
        if length is not None and length > LONGEST and not judged_by_hull:
            yield place, finding(IMPLAUSIBLE, "measurement/readings/0", "longest", length=Length(length), limit=Length(LONGEST))


def _without_hull(assessments: tuple[Assessment, ...], terms: Terms) -> Iterable[Placed]:
    wires = [(place, each.built.assembly) for place, each in enumerate(assessments)]
    ranged = [place for place, each in wires if expected(each.role, each.mast, terms) is not None or ROLES[each.role].standing]
    if ranged:
        yield first_to_cut(assessments, ranged), finding(HULL_MISSING, "/boat/length_overall")


def _sizes(assessments: tuple[Assessment, ...], hull: Decimal, terms: Terms) -> Iterable[Placed]:
    least, most = (each * hull / 1000 for each in (terms.wire_per_metre_least, terms.wire_per_metre_most))
    for place, assessment in enumerate(assessments):
        wire = assessment.built.wire
        if wire is not None and ROLES[assessment.built.assembly.role].standing and not least <= wire.diameter <= most:
            yield (
                place,
                finding(
                    SIZE_IMPLAUSIBLE, "wire/diameter", wire=Size(wire.diameter), hull=Length(hull),
                    least=Number(least.quantize(HUNDREDTH)), most=Number(most.quantize(HUNDREDTH)),
                ),
            )  # fmt: skip


def _lengths(assessments: tuple[Assessment, ...], hull: Decimal, terms: Terms) -> Iterable[Placed]:
    for place, assessment in enumerate(assessments):
        assembly, length = assessment.built.assembly, known_length(assessment)
        wanted = expected(assembly.role, assembly.mast, terms)
        if wanted is None or length is None or _within(length, hull, wanted):
            continue
        if ROLES[assembly.role].length != "stay" or not _within(_whole_stay(assessments, assembly), hull, wanted):
            yield place, _implausible(assembly, length, hull, wanted)


def _within(length: Decimal, hull: Decimal, wanted: Range) -> bool:
    return (wanted.least is None or length >= wanted.least * hull) and length <= wanted.most * hull


def _whole_stay(assessments: tuple[Assessment, ...], stay: Assembly) -> Decimal:
    """Total length of a divided stay in mm: all pieces of its role, mast and side, plus the longest backstay leg."""
    pieces, legs = Decimal(0), Decimal(0)
    for assessment in assessments:
        each, length = assessment.built.assembly, known_length(assessment)
        if length is None or each.mast != stay.mast:
            continue
        if each.role == stay.role and (each.side or "centre") == (stay.side or "centre"):
            pieces += length
        elif each.role == f"{stay.role}_leg":
            legs = max(legs, length)
    return pieces + legs


def _implausible(assembly: Assembly, length: Decimal, hull: Decimal, wanted: Range) -> Finding:
    share = Percent((100 * length / hull).quantize(WHOLE, ROUND_HALF_UP))
    most = Percent((100 * wanted.most).normalize())
    values: dict[str, Value] = {"wire": named_wire(assembly), "length": Length(length), "share": share, "hull": Length(hull), "most": most}
    if wanted.least is None:
        return finding(IMPLAUSIBLE, "measurement/readings/0", "at_most", **values)
    return finding(IMPLAUSIBLE, "measurement/readings/0", "between", **values, least=Percent((100 * wanted.least).normalize()))
