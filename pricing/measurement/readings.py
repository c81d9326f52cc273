"""Repeated readings: their mean, and a finding if they differ by more than repeated readings with one tape do."""

from __future__ import annotations

from decimal import Decimal
from statistics import median
from typing import TYPE_CHECKING

from pricing.derivation import MEASURED, Term, term, thousandth
from pricing.findings import Finding, code, finding
from pricing.values import Count, Dimension, Length, Listing, Value, told_apart

if TYPE_CHECKING:
    from collections.abc import Sequence

BLUNDER = code(
    "reading-blunder",
    "ask",
    "The readings lie farther apart than repeated readings do: one of them may be a blunder, and all were averaged.",
)
# Critical range in units of the repeatability standard deviation, by number of readings, 95 % (ISO 5725-6, 4.2, from memory).
CRITICAL = tuple(map(Decimal, ("2.8", "3.3", "3.6", "3.9", "4.0", "4.2", "4.3", "4.4", "4.5")))


def mean_term(readings: Sequence[Decimal], mean: Decimal, spread: Decimal) -> Term:
    """The first line of the derivation: the reading, or the mean of several."""
    if len(readings) == 1:
        return term("reading", mean, MEASURED, reading=readings[0])
    listed = Listing(tuple([Dimension(each) for each in readings]), "comma")
    return term("mean-of-readings", mean, MEASURED, count=Count(len(readings)), readings=listed, spread=thousandth(spread))


def critical_range(count: int, repeatability: Decimal) -> Decimal:
    """The largest expected difference between `count` readings, mm.

    Beyond ten readings the factor for ten is used, which asks slightly too often.
    """
    return CRITICAL[min(count - 2, len(CRITICAL) - 1)] * repeatability


def blunders(readings: Sequence[Decimal], repeatability: Decimal) -> tuple[Finding, ...]:
    """Asks which reading is right, pointing to the one farthest from the others; of two, neither can be singled out."""
    spread = max(readings) - min(readings)
    if len(readings) == 1 or spread <= (limit := critical_range(len(readings), repeatability)):
        return ()
    apart, within = told_apart(spread, limit, 1)
    values: dict[str, Value] = {"readings": Count(len(readings)), "apart": apart, "within": within}
    if len(readings) == 2:
        return (finding(BLUNDER, "measurement/readings", "two", **values),)
    middle = median(readings)
    place = max(range(len(readings)), key=lambda each: abs(readings[each] - middle))
    values |= {"number": Count(place + 1), "reading": Length(readings[place])}
    return (finding(BLUNDER, f"measurement/readings/{place}", "several", **values),)
