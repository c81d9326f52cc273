"""Checks that the turnbuckle's travel covers the bedding-in of new wire and the uncertainty of the length."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.values import Length, Phrase, Value, phrase

TAKE_UP_SHORT = code("take-up-short", "ask", "The take-up left does not cover the new wire's bedding-in and the uncertainty of the length.")
LET_OUT_SHORT = code("let-out-short", "ask", "The let-out left does not cover the uncertainty of the length.")


def travel(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """If the setting to build at is near its end of travel, propose the cut length that centres the turnbuckle."""
    advice, budget = assessment.advice, assessment.budget
    if advice is None or budget is None:
        return
    remedy: dict[str, Value] = {}
    if advice.proposal is not None:
        remedy = {"cut": Length(advice.proposal.cut), "instead": Length(assessment.built.cut or advice.proposal.cut)}
    wording = "centred" if remedy else "longer"
    if advice.take_up < advice.needed:
        yield finding(TAKE_UP_SHORT, "turnbuckle", wording, left=_left("take_up", advice.take_up), needed=Length(advice.needed), **remedy)
    within = thousandth(budget.expanded)
    if advice.let_out < within:
        yield finding(LET_OUT_SHORT, "turnbuckle", wording, left=_left("let_out", advice.let_out), within=Length(within), **remedy)


def _left(way: str, mm: Decimal) -> Phrase:
    """The travel left or lacking, in words. `way` is `take_up` or `let_out`."""
    return phrase(f"travel.{way}_{'left' if mm >= 0 else 'lacking'}", length=Length(abs(mm)))
