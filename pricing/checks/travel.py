"""Does the turnbuckle's travel cover what is to come: bedding-in of new wire, and the doubt in the length?"""

from __future__ import annotations

from collections.abc import Iterable

from pricing.checks.base import Shop
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.judging import Judged
from pricing.units import spoken, tenth

TAKE_UP_SHORT = code("take-up-short", "ask", "The take-up left does not cover the new wire's bedding-in and the uncertainty of the length.")
LET_OUT_SHORT = code("let-out-short", "ask", "The let-out left does not cover the uncertainty of the length.")


def travel(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Proposes the cut length that centres the turnbuckle when the setting to build at is near its end."""
    advice, budget = judged.advice, judged.budget
    if advice is None or budget is None:
        return
    remedy = "Choose a longer turnbuckle, or have the geometry looked at."
    if advice.proposal is not None:
        remedy = f"Build it centred (`build_at`: centred): cut {tenth(advice.proposal.cut)} mm instead of {tenth(judged.built.cut or advice.proposal.cut)} mm."
    if advice.take_up < advice.needed:
        message = f"{spoken(advice.take_up)} of take-up are left; bedding-in and uncertainty need {spoken(advice.needed)}."
        yield finding(TAKE_UP_SHORT, "turnbuckle", message, remedy)
    if advice.let_out < thousandth(budget.expanded):
        message = f"{spoken(advice.let_out)} of let-out are left; the length is known to ± {spoken(thousandth(budget.expanded))}."
        yield finding(LET_OUT_SHORT, "turnbuckle", message, remedy)
