"""What the shop adds to a quote by hand: further lines, and a discount on all lines. Both are pricing rules (rules.py).

The discount is a document-level allowance (EN 16931 BG-20). Such an allowance has one tax category and rate, so the discount is divided
among the taxes of the lines: a percentage applies to the lines of each tax and is rounded once (BT-92 from BT-93 and BT-94); an amount is
divided in proportion to them by the largest remainder, so that the parts add up. It cannot exceed the lines, so no total is negative. It
applies to the lines alone, not to freight or the minimum-order charge, and does not raise that charge (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.costing.totals import UNTAXED, ZERO
from pricing.errors import RequestError
from pricing.findings import code, finding
from pricing.money import minor_unit, money_text, percent_of, round_money

if TYPE_CHECKING:
    from pricing.costing.demand import Order
    from pricing.costing.priced_lines import Sheet
    from pricing.costing.rates import Rates
    from pricing.measurement.assembly import Discount, ExtraLine

EXTRA_ARTICLE, EXTRA_LINE, DISCOUNT_RULE = "extra_article", "extra_line", "discount"
ALONE = "O"  # outside the scope of tax: no other category beside it (EN 16931, BR-O-11)
NOT_PRICED = code("added-by-hand-not-priced", "note", "Nothing can be built, so what the shop added by hand is not priced either.")


def extra_lines(order: Order, sheet: Sheet) -> None:
    """Adds a line for each article and each line that the shop added by hand. Raises RequestError for every tax that the shop does not charge."""
    if not sheet.lines:
        added: tuple[tuple[str, object], ...] = (
            ("/work", order.work_of_the_boat),
            ("/extra_articles", order.extra_articles),
            ("/extra_lines", order.extra_lines),
            ("/discount", order.discount),
        )
        if at := next((at for at, value in added if value), None):
            sheet.findings.append(finding(NOT_PRICED, at))
        return
    for demand in order.extra_articles:
        sheet.add_article(EXTRA_ARTICLE, demand)
    faults = []
    for place, line in enumerate(order.extra_lines):
        rate = _rate(line, sheet.rates)
        if isinstance(rate, Decimal):
            sheet.add_by_hand(EXTRA_LINE, line, line.tax_category, rate)
        else:
            faults.append((f"/extra_lines/{place}/{rate.field}", f"unknown_{rate.field}", rate.words))
    if faults:
        raise RequestError(faults)


class _Wrong(NamedTuple):
    """The field that is wrong, and what to write there."""

    field: str
    words: str


def _rate(line: ExtraLine, rates: Rates) -> Decimal | _Wrong:
    """The line's tax rate in percent, from the shop's taxes of the day, or what is wrong with the line's tax."""
    category, known = line.tax_category, rates.taxes()
    if (category == ALONE) != any(each == ALONE for each, _ in known):
        listed = ", ".join(sorted({each for each, _ in known}))
        return _Wrong(
            "tax_category",
            f"what is outside the scope of tax (category O) stands alone in a document; the shop's table of taxes has {listed}",
        )
    mine = [rate for each, rate in known if each == category] or ([ZERO] if category in UNTAXED else [])
    if not mine:
        listed = ", ".join(f"{each} at {rate} %" for each, rate in known)
        return _Wrong("tax_category", f"the shop's table of taxes has no rate of category {category}; it has {listed}")
    rate = line.tax_rate
    if rate is None and len(mine) == 1:
        return mine[0]
    if rate is None or rate not in mine:
        return _Wrong("tax_rate", f"write one of the shop's rates for category {category}, as text: {', '.join(map(str, mine))}")
    return rate


def discount(order: Order, sheet: Sheet) -> None:
    """Adds the shop's discount. Raises RequestError for an amount finer than the minor unit, or one that exceeds the lines."""
    requested = order.discount
    if requested is None or not sheet.lines:
        return
    bases: dict[tuple[str, Decimal], Decimal] = {}
    for line in sheet.lines:
        bases[line.category, line.rate] = bases.get((line.category, line.rate), ZERO) + line.net
    for (category, rate), base, amount in zip(bases, bases.values(), _parts(requested, list(bases.values()), sheet.currency), strict=True):
        if amount:
            percent = requested.percent
            sheet.add_allowance(DISCOUNT_RULE, requested.text, amount, category, rate, percent, None if percent is None else base)


def _parts(requested: Discount, bases: Sequence[Decimal], currency: str) -> Iterator[Decimal]:
    if requested.percent is not None:
        return (percent_of(base, requested.percent, currency) for base in bases)
    return _divided(_exact(requested.amount or ZERO, sum(bases, ZERO), currency), bases, currency)


def _exact(amount: Decimal, most: Decimal, currency: str) -> Decimal:
    at, rounded = "/discount/reduction", round_money(amount, currency)
    if rounded != amount:
        raise RequestError([(at, "unrounded_amount", f"{amount} {currency} has a part of the smallest unit: write {rounded}, say")])
    if rounded > most:
        words = f"the lines come to {money_text(most, currency)} {currency}: no more than that can be taken off, freight and tax come after"
        raise RequestError([(at, "more_than_the_lines", words)])
    return rounded


def _divided(amount: Decimal, bases: Sequence[Decimal], currency: str) -> Iterator[Decimal]:
    """`amount` divided in proportion to the bases, to the minor unit, by the largest remainder; ties go to the earlier."""
    digits = minor_unit(currency)
    units, weights = int(amount.scaleb(digits)), [int(base.scaleb(digits)) for base in bases]
    total = sum(weights) or 1
    parts = [units * weight // total for weight in weights]
    for place in sorted(range(len(weights)), key=lambda each: -(units * weights[each] % total))[: units - sum(parts)]:
        parts[place] += 1
    return (Decimal(each).scaleb(-digits) for each in parts)
