"""Is any member weaker than the wire? Pins count in double shear."""

from __future__ import annotations

from collections.abc import Iterable

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.fittings.thimble_eye import EYE
from pricing.judging import Judged

EYE_HOLDS = code("eye-holds-less", "note", "A thimble eye holds less than the wire itself, as its sleeves are rated.")
WEAKER = code("weaker-than-wire", "ask", "A member of the chain is weaker than the wire's minimum break.")


def strength(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """The weakest member against the wire's minimum breaking load."""
    weakest, wire = judged.weakest, judged.built.wire
    if weakest is None or wire is None or weakest.break_kn >= wire.break_kn:
        return
    if weakest.name.endswith(EYE):
        message = f"The {weakest.name} holds {weakest.break_kn} kN of the wire's {wire.break_kn:.2f} kN."
        yield finding(EYE_HOLDS, "wire", message, "Count on the eye's strength, not the wire's.")
        return
    message = f"The {weakest.name} breaks at {weakest.break_kn:.2f} kN, the wire at {wire.break_kn:.2f} kN."
    yield finding(WEAKER, "wire", message, "Choose a stronger member, or have a qualified person agree to the weaker chain.")
