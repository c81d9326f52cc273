"""The checks that a shop makes before it commits to a quote, in order.

To add one, write a function in this package and list it in a tuple below.
"""

from __future__ import annotations

from pricing.checks.base import AssemblyCheck, BoatCheck, Shop
from pricing.checks.boat import order, pairs, places_on_rig, repeats, sent_twice, sideless
from pricing.checks.care import furled, rig_setting, short_wire
from pricing.checks.customer_input import bare_ends, coated, decimal_feet, notes, one_setting, quantities, request_note, sent_in
from pricing.checks.hull import plausible
from pricing.checks.lifelines import lifelines, tautness
from pricing.checks.loads import pulls, temperatures, tensions
from pricing.checks.meeting import meetings
from pricing.checks.readings import one_reading
from pricing.checks.strength import strength
from pricing.checks.travel import travel
from pricing.checks.uncertainty import uncertainty
from pricing.checks.wire_use import age, bends, stripped

ASSEMBLY_CHECKS: tuple[AssemblyCheck, ...] = (
    travel,
    uncertainty,
    strength,
    rig_setting,
    furled,
    short_wire,
    notes,
    decimal_feet,
    one_setting,
    quantities,
    bare_ends,
    sent_in,
    coated,
    lifelines,
    tautness,
    bends,
    stripped,
    age,
    tensions,
    pulls,
    temperatures,
)
BOAT_CHECKS: tuple[BoatCheck, ...] = (
    pairs, repeats, sent_twice, order, one_reading, places_on_rig, sideless, meetings, plausible, request_note,
)  # fmt: skip

__all__ = ["ASSEMBLY_CHECKS", "BOAT_CHECKS", "AssemblyCheck", "BoatCheck", "Shop"]
