"""Checks that the length is known well enough, against the shop's limit and, if there is a turnbuckle, its travel."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.values import Value, told_apart

TOO_UNCERTAIN = code(
    "length-too-uncertain",
    "ask",
    "The length is not known as well as it must be: its uncertainty exceeds the shop's limit, or the turnbuckle's travel.",
)
BARELY_CERTAIN = code(
    "length-barely-certain",
    "note",
    "The length's uncertainty exceeds the shop's limit, or the turnbuckle's travel, by no more than a tenth.",
)
NEARLY = Decimal("1.1")


def uncertainty(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A finding if the length is too uncertain, naming the largest contribution and how to reduce it."""
    if assessment.budget is None:
        return
    expanded = Decimal(repr(assessment.budget.expanded))
    limit, wording = _limit(assessment)
    if expanded <= limit:
        return
    largest = assessment.budget.largest()
    known, most = told_apart(expanded, limit, 2)
    values: dict[str, Value] = {"known": known, "most": most, "contribution": largest.name, "improve": largest.remedy}
    if expanded <= NEARLY * limit:
        yield finding(BARELY_CERTAIN, "measurement", wording, **values)
    else:
        yield finding(TOO_UNCERTAIN, "measurement", wording, **values)


def _limit(assessment: Assessment) -> tuple[Decimal, str]:
    if assessment.advice is not None:
        travel = min(assessment.advice.take_up, assessment.advice.let_out)
        if 0 < travel < assessment.doubt_limit:  # if no travel is left, the measurement is not to blame
            return travel, "travel"
    return assessment.doubt_limit, "limit"
