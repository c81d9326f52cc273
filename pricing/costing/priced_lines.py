"""The sheet filled in by the pricing rules, and the priced document built from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.costing.demand import Demand, Order, check_delivery, check_once, check_waste, printed_quantity
from pricing.costing.rates import Rates
from pricing.costing.totals import ONE, Adjustment, DocumentAdjustment, Line, Totals, percentage
from pricing.errors import NoPrice, QuantityError
from pricing.findings import Finding
from pricing.money import extension, round_money
from pricing.rows import Price

if TYPE_CHECKING:
    from pricing.measurement.assembly import ExtraLine

DISCOUNT = "95"  # UNCL5189: discount
EXTRA = "extra"  # the group of the lines that the shop adds by hand, which belong to no assembly


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedLine(Line):
    """A line with its article, its group (wire, fitting, labour, waste) and the rule that created it."""

    sku: str
    group: str
    rule: str


class PricedCharge(DocumentAdjustment, frozen=True, gc=False, kw_only=True):
    """A document-level charge with the rule that created it."""

    rule: str


class PricedAllowance(DocumentAdjustment, frozen=True, gc=False, kw_only=True):
    """A document-level allowance with the rule that created it."""

    rule: str


@dataclass(frozen=True, slots=True)
class Priced:
    """The priced document; `findings` name what the total leaves out."""

    currency: str
    priced_on: date
    price_list: str
    lines: tuple[PricedLine, ...]
    charges: tuple[PricedCharge, ...]
    totals: Totals
    findings: tuple[Finding, ...]
    allowances: tuple[PricedAllowance, ...] = ()


class Article(NamedTuple):
    """A demand with the quantity printed on its line and the row that prices it."""

    demand: Demand
    quantity: Decimal
    price: Price


class Sheet:
    """Working state filled in by the rules. It exists only during a call of `price`."""

    def __init__(self, order: Order, rates: Rates) -> None:
        rates.check_price_list(order.price_list)
        check_delivery(order.delivery)
        self.rates = rates
        self.terms = rates.terms
        self.currency = self.terms.currency
        self.articles = _articles(order.demands, rates)
        self.lines: list[PricedLine] = []
        self.charges: list[PricedCharge] = []
        self.allowances: list[PricedAllowance] = []
        self.findings: list[Finding] = []
        self._price_list = order.price_list
        self._discounts: dict[str, Decimal] = {}

    def add_line(self, rule: str, group: str, demand: Demand, quantity: Decimal, price: Price, name: str, note: str) -> None:
        """Add a line at the article's price, with the price list's discount on its group as an allowance, and the group's tax."""
        category, rate = self.rates.tax(group)
        self.lines.append(
            PricedLine(
                id=str(len(self.lines) + 1), sku=demand.sku, name=name, note=note, group=group, rule=rule, quantity=quantity,
                unit=demand.unit, net_price=price.unit_price, category=category, rate=rate,
                adjustments=self._discount(group, quantity, price.unit_price), currency=self.currency,
            )
        )  # fmt: skip

    def add_charge(self, rule: str, group: str, amount: Decimal, reason: str, reason_code: str) -> None:
        """Add a document-level charge, taxed by its group; the amount is rounded here."""
        category, rate = self.rates.tax(group)
        amount = round_money(amount, self.currency)
        self.charges.append(
            PricedCharge(charge=True, reason=reason, amount=amount, code=reason_code, category=category, rate=rate, rule=rule)
        )

    def add_by_hand(self, rule: str, line: ExtraLine, category: str, rate: Decimal) -> None:
        """Add a line that the shop wrote by hand, with its own price and tax."""
        self.lines.append(
            PricedLine(
                id=str(len(self.lines) + 1), sku="", name=line.text, group=EXTRA, rule=rule, quantity=line.quantity, unit=line.unit,
                net_price=line.unit_price, category=category, rate=rate, currency=self.currency,
            )
        )  # fmt: skip

    def add_article(self, rule: str, demand: Demand) -> None:
        """Add a line for an article that belongs to no assembly, with the price, discount and tax of its group."""
        quantity = printed_quantity(demand)
        price = self.rates.price(demand.sku, quantity)
        category, rate = self.rates.tax(demand.group)
        self.lines.append(
            PricedLine(
                id=str(len(self.lines) + 1), sku=demand.sku, name=demand.name, group=EXTRA, rule=rule, quantity=quantity, unit=demand.unit,
                net_price=price.unit_price, category=category, rate=rate,
                adjustments=self._discount(demand.group, quantity, price.unit_price), currency=self.currency,
            )
        )  # fmt: skip

    def add_allowance(
        self, rule: str, reason: str, amount: Decimal, category: str, rate: Decimal, percent: Decimal | None, base: Decimal | None
    ) -> None:
        """Add a document-level allowance on the lines with this tax. For a percentage, `percent` and `base` are given as well."""
        self.allowances.append(
            PricedAllowance(
                charge=False, reason=reason, amount=amount, percent=percent, base_amount=base, code=DISCOUNT, category=category, rate=rate,
                rule=rule,
            )
        )  # fmt: skip

    def _discount(self, group: str, quantity: Decimal, unit_price: Decimal) -> tuple[Adjustment, ...]:
        percent = self._discounts.get(group)
        if percent is None:
            percent = self._discounts[group] = self.rates.discount_percent(self._price_list, group)
        if not percent:
            return ()
        base = extension(quantity, unit_price, ONE, self.currency)
        off = percentage(base, percent, self.currency, charge=False, reason=f"Price list {self._price_list}", code=DISCOUNT)
        return (off,) if off.amount else ()


def _articles(demands: Sequence[Demand], rates: Rates) -> tuple[Article, ...]:
    check_once(demands)
    articles: list[Article] = []
    missing: list[str] = []
    for demand in demands:
        check_waste(demand)
        quantity = printed_quantity(demand)
        try:
            row = rates.price(demand.sku, quantity)
        except NoPrice:
            missing.append(demand.sku)
            continue
        if row.unit != demand.unit:
            raise QuantityError("unit", f"{quantity} {demand.unit}", f"{demand.sku} is priced by {row.unit}, not by {demand.unit}")
        articles.append(Article(demand, quantity, row))
    if missing:
        raise NoPrice(", ".join(missing), rates.day.isoformat())
    return tuple(articles)
