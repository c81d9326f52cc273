"""Checks whether any member is weaker than the wire. Pins count in double shear."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.fittings.deadeye import DEADEYE
from pricing.fittings.thimble_eye import EYE
from pricing.geometry.hardware import CACHE_SIZE, Hardware
from pricing.values import Force, Value

EYE_HOLDS = code("eye-holds-less", "note", "A thimble eye holds less than the wire itself, as its sleeves are rated.")
WEAKER = code("weaker-than-wire", "ask", "A member of the chain is weaker than the wire's minimum break.")


def strength(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """The weakest member against the wire's minimum breaking load."""
    return () if assessment.weakest is None else _weaker(assessment.built.hardware)


@lru_cache(maxsize=CACHE_SIZE)
def _weaker(hardware: Hardware) -> tuple[Finding, ...]:
    weakest, wire = hardware.weakest, hardware.wire
    if weakest is None or wire is None or weakest.break_kn >= wire.break_kn:
        return ()
    values: dict[str, Value] = {"member": weakest.name, "holds": Force(1000 * weakest.break_kn), "wire": Force(1000 * wire.break_kn)}
    if any(("part", eye) in weakest.name.values for eye in (EYE, DEADEYE)):
        return (finding(EYE_HOLDS, "wire", **values),)
    return (finding(WEAKER, "wire", **values),)
