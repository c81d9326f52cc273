"""Lifeline checks: minimum wire diameter by boat length, and tautness.

Diameters are those of the Offshore Special Regulations 3.14.6, table 8, edition 2008; tautness is the deflection under 40 N at midspan
(World Sailing Q&A 2014-013).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.measurement.roles import ROLES
from pricing.values import Force, Length, Size, Text, Value

THIN = code(
    "lifeline-too-thin",
    "ask",
    "A lifeline is thinner than the Offshore Special Regulations 3.14.6 table 8 (edition 2008) ask for that boat length.",
)
NOT_CHECKED = code(
    "lifeline-not-checked", "note", "The lifeline's diameter was not checked against the rule, since the boat's length was not given."
)
SLACK = code("lifeline-slack", "ask", "A lifeline deflects more under 40 N midway than World Sailing Q&A 2014-013 allows.")
TAUT = code("lifeline-tension", "note", "The tension that a deflection test implies, by statics.")
TEST_ELSEWHERE = code("deflection-not-a-lifeline", "note", "A deflection test was sent for a wire that is no lifeline; it was not judged.")
COATED = code(
    "lifeline-coated",
    "note",
    "A lifeline is coated; the Offshore Special Regulations 3.14.6 (edition 2008) ask for uncoated wire.",
)


class Least(NamedTuple):
    """A row of the table: its sizes as printed, and the smaller of them in mm."""

    diameter: Decimal
    printed: str


UNDER_8_5_M = Least(Decimal(3), "3 mm (1/8 in)")
TO_13_M = Least(Decimal("3.96875"), "4 mm (5/32 in)")
OVER_13_M = Least(Decimal("4.7625"), "5 mm (3/16 in)")


def least_diameter(length_overall: Decimal) -> Least:
    """Minimum lifeline diameter for a boat's length overall in mm.

    The table gives a metric and an inch size side by side; either is sufficient.
    """
    if length_overall < Decimal(8500):
        return UNDER_8_5_M
    return TO_13_M if length_overall <= Decimal(13000) else OVER_13_M


def lifelines(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """An offshore racing rule, used elsewhere as good practice; local and class rules take precedence."""
    wire, length = assessment.built.wire, shop.request.boat.length_overall
    if ROLES[assessment.built.assembly.role].deflection is None or wire is None:
        return
    if assessment.built.assembly.wire.coated or wire.coating is not None:
        yield finding(COATED, "wire/coated" if assessment.built.assembly.wire.coated else "wire/material")
    if length is None:
        yield finding(NOT_CHECKED, "wire")
    elif wire.diameter < (least := least_diameter(length)).diameter:
        yield finding(THIN, "wire/diameter", wire=Size(wire.diameter), least=Text(least.printed), hull=Length(length))


RULE_FORCE = Decimal(40)  # N


def implied_tension(span: float, deflection: float, force: float) -> float:
    """Tension in N of a line deflected at midspan: T = F / (2 sin(atan(2δ/L))).

    Statics of a two-legged line; span and deflection in mm, force in N.
    """
    return force / (2 * math.sin(math.atan(2 * deflection / span)))


def tautness(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A test at a force other than 40 N is converted through the tension it implies."""
    assembly = assessment.built.assembly
    test = assembly.deflection_test
    if test is None:
        return
    allowed = ROLES[assembly.role].deflection
    if allowed is None:
        yield finding(TEST_ELSEWHERE, "deflection_test")
        return
    tension = implied_tension(float(test.span), float(test.deflection), float(test.force))
    at_rule = test.deflection if test.force == RULE_FORCE else _deflection(test.span, tension)
    most = Decimal(allowed)
    if at_rule > most:
        values: dict[str, Value] = {"force": Force(RULE_FORCE), "most": Length(most)}
        if at_rule.is_finite():
            yield finding(SLACK, "deflection_test", "gives", **values, deflection=Length(at_rule))
        else:
            yield finding(SLACK, "deflection_test", "limp", **values)
    yield finding(TAUT, "deflection_test", tension=Force(Decimal(f"{tension:.0f}")))


def _deflection(span: Decimal, tension: float) -> Decimal:
    """Deflection in mm under the rule's force at this tension; infinite for a line that cannot carry the force."""
    sine = float(RULE_FORCE) / (2 * tension)
    if sine >= 1:
        return Decimal("Infinity")
    return Decimal(str(round(math.tan(math.asin(sine)) * float(span) / 2, 3)))
