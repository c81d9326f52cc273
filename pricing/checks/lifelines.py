"""Lifelines: least wire diameter by boat length (Offshore Special Regulations 3.14.6, table 8, edition 2008), and tautness (deflection under
40 N midway, World Sailing Q&A 2014-013)."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.judging import Judged
from pricing.units import spoken

THIN = code(
    "lifeline-too-thin",
    "ask",
    "A lifeline is thinner than the Offshore Special Regulations 3.14.6 table 8 (edition 2008) ask for that boat length.",
)
NOT_CHECKED = code(
    "lifeline-not-checked", "note", "The lifeline's diameter was not held against the rule, since the boat's length was not said."
)
SLACK = code("lifeline-slack", "ask", "A lifeline deflects more under 40 N midway than World Sailing Q&A 2014-013 allows.")
TAUT = code("lifeline-tension", "note", "The tension that a deflection test implies, by statics.")
TEST_ELSEWHERE = code("deflection-not-a-lifeline", "note", "A deflection test was sent for a wire that is no lifeline; it was not judged.")
ROLES = ("lifeline_upper", "lifeline_lower", "gate_wire")
EDITION = "Offshore Special Regulations 3.14.6 table 8, edition 2008"
LEAST = ((Decimal(8500), Decimal(3)), (Decimal(13000), Decimal(4)))  # under 8.5 m: 3 mm; 8.5 to 13 m: 4 mm
LEAST_ABOVE = Decimal(5)  # over 13 m


def least_diameter(length_overall: Decimal) -> Decimal:
    """Least lifeline diameter in mm for a boat's length overall in mm."""
    if length_overall < LEAST[0][0]:
        return LEAST[0][1]
    return LEAST[1][1] if length_overall <= LEAST[1][0] else LEAST_ABOVE


def lifelines(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """A rule for racing offshore, taken as good practice elsewhere; local and class rules come first."""
    wire, length = judged.built.wire, shop.request.boat.length_overall
    if judged.built.assembly.role not in ROLES or wire is None:
        return
    if length is None:
        yield finding(NOT_CHECKED, "wire", "Without the boat's length the lifeline rule was not checked.", "Say `boat.length_overall`.")
    elif wire.diameter < least_diameter(length):
        message = f"{wire.size} is thinner than the {spoken(least_diameter(length))} of {EDITION} for this boat."
        yield finding(THIN, "wire/diameter", message, "Choose a thicker wire, or confirm that no such rule binds this boat.")


RULE_FORCE = Decimal(40)  # N
MOST_DEFLECTION = {
    "lifeline_upper": Decimal(50),
    "gate_wire": Decimal(50),
    "lifeline_lower": Decimal(120),
}  # mm: upper or single, intermediate


def implied_tension(span: float, deflection: float, force: float) -> float:
    """Tension in N of a line pressed midway: T = F / (2 sin(atan(2δ/L))). Statics of a two-legged line; span and deflection in mm, force in N."""
    return force / (2 * math.sin(math.atan(2 * deflection / span)))


def tautness(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """A test at another force than 40 N is scaled through the tension that it implies."""
    assembly = judged.built.assembly
    test = assembly.deflection_test
    if test is None:
        return
    if assembly.role not in MOST_DEFLECTION:
        yield finding(TEST_ELSEWHERE, "deflection_test", "The deflection test was not judged.", "Send such a test with a lifeline.")
        return
    tension = implied_tension(float(test.span), float(test.deflection), float(test.force))
    at_rule = test.deflection if test.force == RULE_FORCE else _deflection(test.span, tension)
    most = MOST_DEFLECTION[assembly.role]
    if at_rule > most:
        gives = spoken(at_rule) if at_rule.is_finite() else "more than can be said"
        message = f"Under 40 N midway it gives {gives}; {spoken(most)} is the most."
        yield finding(
            SLACK, "deflection_test", message, "Measure the length taut, or allow for the slack when choosing the turnbuckle's setting."
        )
    yield finding(
        TAUT,
        "deflection_test",
        f"The test implies a tension of about {tension:.0f} N.",
        "Give it as `everyday_tension` if the wire is changed.",
    )


def _deflection(span: Decimal, tension: float) -> Decimal:
    """Deflection in mm under the rule's force at that tension; a line that cannot carry it at all deflects without limit."""
    sine = float(RULE_FORCE) / (2 * tension)
    if sine >= 1:
        return Decimal("Infinity")
    return Decimal(str(round(math.tan(math.asin(sine)) * float(span) / 2, 3)))
