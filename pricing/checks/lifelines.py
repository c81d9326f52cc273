"""Lifelines: least wire diameter by boat length (Offshore Special Regulations 3.14.6, table 8, edition 2008)."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.judging import Judged
from pricing.units import metric

THIN = code(
    "lifeline-too-thin",
    "ask",
    "A lifeline is thinner than the Offshore Special Regulations 3.14.6 table 8 (edition 2008) ask for that boat length.",
)
NOT_CHECKED = code(
    "lifeline-not-checked", "note", "The lifeline's diameter was not held against the rule, since the boat's length was not said."
)
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
        message = f"{wire.size} is thinner than the {metric(least_diameter(length))} of {EDITION} for this boat."
        yield finding(THIN, "wire/diameter", message, "Choose a thicker wire, or confirm that no such rule binds this boat.")
