"""Checks that the length was read more than once: an independent second reading is the best guard against blunders."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.checks.base import Placed, Shop
from pricing.findings import code, finding
from pricing.measurement.pairing import partners

if TYPE_CHECKING:
    from pricing.checks.assessment import Assessment

ONE_READING = code("one-reading-alone", "ask", "The length was read only once, and no partner on the other side agrees with it.")


def one_reading(assessments: tuple[Assessment, ...], shop: Shop) -> Iterable[Placed]:
    """A single reading, unless the only wire of the same role on the other side of the mast agrees within the shop's limit for a pair."""
    beside = partners([assessment.built.assembly for assessment in assessments])
    for at, assessment in enumerate(assessments):
        if assessment.built.cut is None or len(assessment.built.assembly.measurement.readings) > 1:
            continue
        if at in beside and _agree(assessment, assessments[beside[at]], shop):
            continue
        yield at, finding(ONE_READING, "measurement/readings")


def _agree(one: Assessment, other: Assessment, shop: Shop) -> bool:
    left, right = _length(one), _length(other)
    return left is not None and right is not None and abs(left - right) <= shop.terms.pair_limit


def _length(assessment: Assessment) -> Decimal | None:
    return assessment.built.target if assessment.built.target is not None else assessment.built.cut
