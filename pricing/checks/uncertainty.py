"""Is the length known well enough? Judged against the travel where there is a turnbuckle, against the tolerance elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Shop
from pricing.derivation import thousandth
from pricing.findings import Finding, code, finding
from pricing.judging import Judged

TOO_UNCERTAIN = code(
    "length-too-uncertain",
    "ask",
    "The length is not known as well as it must be built: the uncertainty exceeds the tolerance, or the turnbuckle's travel.",
)


def uncertainty(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Names the largest contributor and what would shrink it."""
    if judged.budget is None or (judged.built.turnbuckle is not None and judged.advice is None):
        return  # without a setting the travel is unknown, which is asked about already
    limit, against = _limit(judged)
    expanded = thousandth(judged.budget.expanded)
    if expanded > limit:
        largest = judged.budget.largest()
        message = (
            f"The length is known to ± {expanded:.2f} mm, but {against} is {limit:.2f} mm; the largest part comes from: {largest.name}."
        )
        yield finding(TOO_UNCERTAIN, "measurement", message, f"To shrink it, {largest.remedy}.")


def _limit(judged: Judged) -> tuple[Decimal, str]:
    if judged.advice is not None:
        return min(judged.advice.take_up, judged.advice.let_out), "the turnbuckle's travel"
    return judged.tolerance, "the tolerance"
