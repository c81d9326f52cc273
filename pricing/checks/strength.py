"""Is any member weaker than the wire? Pins count in double shear."""

from __future__ import annotations

from collections.abc import Iterable

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.judging import Judged

WEAKER = code("weaker-than-wire", "ask", "A member of the chain is weaker than the wire's minimum break.")


def strength(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """The weakest member against the wire's minimum breaking load."""
    weakest, wire = judged.weakest, judged.built.wire
    if weakest is None or wire is None or weakest.break_kn >= wire.break_kn:
        return
    message = f"The {weakest.name} breaks at {weakest.break_kn} kN, the wire at {wire.break_kn} kN."
    yield finding(WEAKER, "wire", message, "Choose a stronger member, or have a qualified person agree to the weaker chain.")
