"""Tax rates: a share where a percentage is meant, and rates that no tax has."""

from __future__ import annotations

from collections.abc import Iterator

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

HIGHEST = 27  # percent; the highest standard rate of value added tax in the European Union is Hungary's 27 %: from memory
LOWEST = 1  # percent; a lower rate is a share written where a percentage is meant: common practice, no source
STANDARD, UNTAXED = ("S",), ("Z", "E", "AE", "G", "O", "K")  # by UNCL5305 as EN 16931 uses it


def rates(examined: Examined) -> Iterator[Doubt]:
    """A rate between 0 and 1 % is probably a share; a standard rate of 0 or an untaxed group with a rate contradict their category."""
    frame = examined.frame("tax")
    for at, category, rate in zip(frame.index, frame["category"], frame["rate"], strict=True):
        if 0 < rate < LOWEST:
            percent = f"{rate * 100:g}"
            yield examined.doubt(
                "tax", at, "rate", f"{percent} for {percent} %", f"{rate:g} is read as {rate:g} %: the rate is a percentage"
            )
        elif rate > HIGHEST:
            yield examined.doubt(
                "tax", at, "rate", f"at most {HIGHEST}", f"{rate:g} % is more than any rate of the countries that have such a tax"
            )
        elif category in STANDARD and rate == 0:
            yield examined.doubt("tax", at, "rate", "the standard rate, or category Z or E", "a rate of 0 % is not that of category S")
        elif category in UNTAXED and rate > 0:
            yield examined.doubt("tax", at, "rate", "0", f"category {category} has no tax, and the row takes {rate:g} %")
