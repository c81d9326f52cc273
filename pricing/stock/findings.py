"""Findings on wire bought for the job, whose remnant is priced."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from pricing.checks.rig_names import kind_of
from pricing.findings import Finding, code, finding
from pricing.values import Listing, Number, Percent, Phrase, phrase

if TYPE_CHECKING:
    from pricing.cutting import Failure, InvalidOrder
    from pricing.stock.planning import WirePlan

NO_LENGTHS = code(
    "no-lengths-to-buy",
    "ask",
    "The wire is bought for this job, but no length that it can be bought in is listed: its remnant is not priced.",
    "shop",
)
NOT_PROVEN = code(
    "cheapest-lengths-not-shown",
    "note",
    "Wire is bought for this job, and its pieces can be shared out over the lengths to buy in more ways than were tried: others may be cheaper.",
)


def remnant_not_priced(refused: InvalidOrder) -> Finding:
    """Wire bought for the job cannot be planned, so its remnant has no price."""
    return finding(NO_LENGTHS, "/assemblies", "refused", reasons=_reasons(refused))


def _reasons(refused: InvalidOrder) -> Listing:
    return Listing(tuple(dict.fromkeys(_reason(each) for each in refused.failures)))


def _reason(failure: Failure) -> Phrase:
    """Why the planner refuses the shop's tables, with the offending number if there is one."""
    if failure.value is None:
        return phrase(f"refused.{failure.code}")
    return phrase(f"refused_number.{failure.code}", number=Number(failure.value))


def of_bought(plans: Iterable[WirePlan]) -> Iterator[Finding]:
    """Findings on wire bought for the job: other lengths might be cheaper, or not every piece fits a listed length."""
    plans = tuple(plans)
    for each in plans:
        if each.plan is not None and each.plan.gap and not each.plan.unplanned:
            saved = (each.plan.gap / each.plan.cost * 100).quantize(Decimal("0.01"), ROUND_CEILING)
            yield finding(NOT_PROVEN, "/assemblies", wire=kind_of(each.wire), saved=Percent(saved))
    for each in plans:
        if each.plan is None or each.plan.unplanned:
            yield finding(NO_LENGTHS, "/assemblies", "unlisted", wire=kind_of(each.wire))
