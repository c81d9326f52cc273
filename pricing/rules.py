"""The shop's rules of pricing, one function a rule, run in the order of RULES. To change a rule is to change its function here.

A rule reads the order and the sheet as far as it is filled, and adds lines or charges to it. Each line is rounded once; discounts are
visible allowances on their lines; freight and the minimum order are charges on the document. Totals follow EN 16931 (totals.py).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from pricing.demand import Collect, Demand, Order, Ship, metres
from pricing.findings import code, finding
from pricing.money import money_text
from pricing.rates import Rates
from pricing.sheet import Priced, PricedCharge, PricedLine, Sheet
from pricing.terms import Terms
from pricing.totals import ZERO, total

__all__ = ["RULES", "Collect", "Demand", "Order", "Priced", "PricedCharge", "PricedLine", "Rule", "Sheet", "Ship", "price"]

NO_FREIGHT = code("freight-not-listed", "ask", "No row of the freight tariff takes this weight and coil, so freight is not in the total.")
FREIGHT_SERVICE = "FC"  # UNCL7161: freight service
SMALL_ORDER = "AEL"  # UNCL7161: small order processing service


Rule = Callable[[Order, Sheet], None]


def articles(_: Order, sheet: Sheet) -> None:
    """A line for each article, at the unit price of the quantity that the line prints."""
    for article in sheet.articles:
        demand = article.demand
        sheet.add_line("articles", demand.group, demand, article.quantity, article.price, demand.name, demand.note)


def cut_allowance(_: Order, sheet: Sheet) -> None:
    """The shop's allowance for each cut, as metres at the price of the wire that is cut. A flat percentage has it in itself."""
    allowance = sheet.terms.cut_allowance
    for article in sheet.articles if sheet.terms.waste_policy == "measured" else ():
        demand = article.demand
        if demand.cuts and (length := metres(allowance * demand.cuts / 1000)):
            note = f"{demand.cuts} {'cut' if demand.cuts == 1 else 'cuts'} of {allowance} mm: {length} m"
            sheet.add_line("cut_allowance", "waste", demand, length, article.price, f"Cut allowance, {demand.name}", note)


def scrap(_: Order, sheet: Sheet) -> None:
    """Scrap as a share of the metres sold. It does not depend on the day's cutting plan: the same boat costs the same tomorrow."""
    for article in sheet.articles:
        demand = article.demand
        percent = scrap_percent(demand, sheet.terms)
        if demand.group == "wire" and demand.unit == "m" and (length := metres(article.quantity * percent / 100)):
            note = f"{percent} % of {article.quantity} m: {length} m"
            sheet.add_line("scrap", "waste", demand, length, article.price, f"Scrap, {demand.name}", note)


def scrap_percent(demand: Demand, terms: Terms) -> Decimal:
    """The wire's own rate up to the shop's cap, or the shop's flat rate; none where the customer pays for the whole rest."""
    if demand.rest is not None:
        return ZERO
    if terms.waste_policy == "flat" or demand.scrap_percent is None:
        return terms.waste_percent
    return min(demand.scrap_percent, terms.scrap_cap_percent)


def rest(_: Order, sheet: Sheet) -> None:
    """What is left of wire bought for the job and cannot be returned, at the price of that wire; the customer may have it."""
    for article in sheet.articles:
        demand = article.demand
        if demand.rest and (length := metres(demand.rest)):
            note = f"bought for this job in fixed lengths and not returnable: {length} m are left, and are yours"
            sheet.add_line("rest", "waste", demand, length, article.price, f"Rest, {demand.name}", note)


def freight(order: Order, sheet: Sheet) -> None:
    """The cheapest freight that takes the weight and the coil; where none does, a finding and no charge."""
    delivery = order.delivery
    if not isinstance(delivery, Ship) or not sheet.lines:
        return
    row = sheet.rates.freight(delivery.weight_kg, delivery.coil_mm)
    asked = str(delivery)
    if row is None:
        message, remedy = f"No freight is listed for {asked}; the total is without it.", "Ask the shop for a price of carriage, or collect."
        sheet.findings.append(finding(NO_FREIGHT, "/delivery", message, remedy))
    else:
        sheet.add_charge("freight", "freight", row.price, f"Freight, {asked}", FREIGHT_SERVICE)


def minimum_order(_: Order, sheet: Sheet) -> None:
    """The difference to the shop's minimum order, taken on the lines after discounts, before freight and tax (common practice, no source)."""
    minimum = sheet.terms.minimum_order
    missing = minimum - sum((line.net for line in sheet.lines), ZERO)
    if sheet.lines and missing > 0:
        reason = f"Minimum order of {money_text(minimum, sheet.currency)} {sheet.currency}"
        sheet.add_charge("minimum_order", "order", missing, reason, SMALL_ORDER)


RULES: tuple[Rule, ...] = (articles, cut_allowance, scrap, rest, freight, minimum_order)


def price(order: Order, rates: Rates, rules: Sequence[Rule] = RULES) -> Priced:
    """Price an order at the rates of a day. Pure: the same order and rates give the same document.

    Raises NoPrice naming every article without a price that day, QuantityError for a quantity that cannot be sold, RequestError for an
    unknown price list, TableError for terms that are not in force. An order without demands comes to zero, without any charge.
    """
    sheet = Sheet(order, rates)
    for rule in rules:
        rule(order, sheet)
    totals = total(sheet.lines, sheet.charges, sheet.currency)
    lines, charges = tuple(sheet.lines), tuple(sheet.charges)
    return Priced(sheet.currency, rates.day, order.price_list, lines, charges, totals, tuple(sheet.findings))
