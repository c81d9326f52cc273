"""The checks that a shop makes before it promises, in order. To add one: a function in a file here, and its name in a tuple below."""

from __future__ import annotations

from pricing.checks.base import AssemblyCheck, BoatCheck, Shop
from pricing.checks.boat import order, pairs, repeats
from pricing.checks.care import furled, plausible, rig_setting, short_wire
from pricing.checks.lifelines import lifelines, tautness
from pricing.checks.strength import strength
from pricing.checks.travel import travel
from pricing.checks.uncertainty import uncertainty
from pricing.checks.wire_use import age, bends

ASSEMBLY_CHECKS: tuple[AssemblyCheck, ...] = (
    travel,
    uncertainty,
    strength,
    rig_setting,
    furled,
    short_wire,
    plausible,
    lifelines,
    tautness,
    bends,
    age,
)
BOAT_CHECKS: tuple[BoatCheck, ...] = (pairs, repeats, order)

__all__ = ["ASSEMBLY_CHECKS", "BOAT_CHECKS", "AssemblyCheck", "BoatCheck", "Shop"]
