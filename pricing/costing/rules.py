"""The shop's pricing rules, one function each, run in the order of RULES. To change a rule, change its function here; to add one,
add its function to RULES and what it writes to WRITTEN.

A rule reads the order and the sheet as filled so far, and adds lines or charges to it. Each line is rounded once; discounts are shown as
allowances on their lines, but for the shop's own by hand; freight and the minimum order are document-level charges. Totals follow EN 16931 (totals.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import ROUND_HALF_UP, Decimal

from pricing.costing.by_hand import discount, extra_lines
from pricing.costing.demand import HUNDREDTH, Collect, Demand, Order, Ship, metres
from pricing.costing.own_work import OWN_WORK
from pricing.costing.priced_lines import Article, Priced, PricedCharge, PricedLine, Sheet
from pricing.costing.rates import Rates
from pricing.costing.terms import Terms
from pricing.costing.totals import ZERO, total
from pricing.findings import code, finding
from pricing.money import money_text
from pricing.values import Length, Number

__all__ = ["RULES", "Collect", "Demand", "Order", "Priced", "PricedCharge", "PricedLine", "Rule", "Sheet", "Ship", "price"]

NO_FREIGHT = code("freight-not-listed", "ask", "No row of the freight tariff takes this weight and coil, so freight is not in the total.")
FREIGHT_SERVICE = "FC"  # UNCL7161: freight service
SMALL_ORDER = "AEL"  # UNCL7161: small order processing service


Rule = Callable[[Order, Sheet], None]


def articles(_: Order, sheet: Sheet) -> None:
    """One line per article, at the unit price for the quantity printed on the line."""
    for article in sheet.articles:
        if not article.demand.own:
            _line("articles", article, sheet)


def work(_: Order, sheet: Sheet) -> None:
    """One line for each of the shop's own kinds of work, priced like any article."""
    for article in sheet.articles:
        if article.demand.own:
            _line(OWN_WORK, article, sheet)


def _line(rule: str, article: Article, sheet: Sheet) -> None:
    demand = article.demand
    sheet.add_line(rule, demand.group, demand, article.quantity, article.price, demand.name, demand.note)


def cut_allowance(_: Order, sheet: Sheet) -> None:
    """The shop's allowance for each cut, as metres at the price of the wire that is cut. A flat percentage already includes it."""
    allowance = sheet.terms.cut_allowance
    for article in sheet.articles if sheet.terms.waste_policy == "measured" else ():
        demand = article.demand
        if demand.cuts and (length := metres(allowance * demand.cuts / 1000)):
            note = f"{demand.cuts} {'cut' if demand.cuts == 1 else 'cuts'} of {allowance} mm: {length} m"
            sheet.add_line("cut_allowance", "waste", demand, length, article.price, f"Cut allowance, {demand.name}", note)


def scrap(_: Order, sheet: Sheet) -> None:
    """Scrap as a percentage of the metres sold.

    It does not depend on the day's cutting plan, so the same boat costs the same tomorrow.
    """
    for article in sheet.articles:
        demand = article.demand
        percent = scrap_percent(demand, sheet.terms)
        if demand.group == "wire" and demand.unit == "m" and (length := metres(article.quantity * percent / 100)):
            note = f"{percent} % of {article.quantity} m: {length} m"
            sheet.add_line("scrap", "waste", demand, length, article.price, f"Scrap, {demand.name}", note)


def scrap_percent(demand: Demand, terms: Terms) -> Decimal:
    """The wire's own rate, limited to the shop's cap, or the shop's flat rate; zero if the customer pays for the whole remnant."""
    if demand.remnant is not None:
        return ZERO
    if terms.waste_policy == "flat" or demand.scrap_percent is None:
        return terms.waste_percent
    return min(demand.scrap_percent, terms.scrap_cap_percent)


def remnant(_: Order, sheet: Sheet) -> None:
    """The remnant of non-returnable wire bought for the job, at that wire's price; the customer may have it."""
    for article in sheet.articles:
        demand = article.demand
        if demand.remnant and (length := metres(demand.remnant)):
            note = f"bought for this job in fixed lengths and not returnable: {length} m are left, and are yours"
            sheet.add_line("remnant", "waste", demand, length, article.price, f"Remnant, {demand.name}", note)


def freight(order: Order, sheet: Sheet) -> None:
    """The cheapest freight for the weight and coil; if there is none, a finding and no charge."""
    delivery = order.delivery
    if not isinstance(delivery, Ship) or not sheet.lines:
        return
    row = sheet.rates.freight(delivery.weight_kg, delivery.coil_mm)
    shipment = str(delivery)
    if row is None:
        weight = Number(delivery.weight_kg.quantize(HUNDREDTH, ROUND_HALF_UP))
        sheet.findings.append(finding(NO_FREIGHT, "/delivery", weight=weight, coil=Length(delivery.coil_mm)))
    else:
        sheet.add_charge("freight", "freight", row.price, f"Freight, {shipment}", FREIGHT_SERVICE)


def minimum_order(_: Order, sheet: Sheet) -> None:
    """The difference to the shop's minimum order, for lines after discounts, before freight and tax (common practice, no source)."""
    minimum = sheet.terms.minimum_order
    missing = minimum - sum((line.net for line in sheet.lines), ZERO)
    if sheet.lines and missing > 0:
        reason = f"Minimum order of {money_text(minimum, sheet.currency)} {sheet.currency}"
        sheet.add_charge("minimum_order", "order", missing, reason, SMALL_ORDER)


# The texts that the rules write on lines and charges, with placeholders; the quotation uses them as templates for translation.
WRITTEN = (
    "Cut allowance, %(name)s", "Scrap, %(name)s", "Remnant, %(name)s", "1 cut of %(size)s: %(length)s", "%(cuts)s cuts of %(size)s: %(length)s",
    "%(percent)s %% of %(all)s: %(length)s",
    "bought for this job in fixed lengths and not returnable: %(length)s are left, and are yours",
    "Rest, %(name)s",  # in quotes of earlier releases
    "Price list %(list)s", "Freight, %(weight)s, coil of %(coil)s", "Minimum order of %(amount)s %(currency)s",
)  # fmt: skip
RULES: tuple[Rule, ...] = (articles, cut_allowance, scrap, remnant, work, extra_lines, freight, minimum_order, discount)


def price(order: Order, rates: Rates, rules: Sequence[Rule] = RULES) -> Priced:
    """Price an order at the rates of a day. Pure: the same order and rates give the same document.

    Raises NoPrice naming every article without a price that day, QuantityError for a quantity that cannot be sold, RequestError for an
    unknown price list and for what cannot be added by hand (by_hand.py), TableError for terms that are not in force. An order without
    demands comes to zero, without charges.
    """
    sheet = Sheet(order, rates)
    for rule in rules:
        rule(order, sheet)
    totals = total(sheet.lines, [*sheet.allowances, *sheet.charges], sheet.currency)
    lines, charges = tuple(sheet.lines), tuple(sheet.charges)
    return Priced(sheet.currency, rates.day, order.price_list, lines, charges, totals, tuple(sheet.findings), tuple(sheet.allowances))
