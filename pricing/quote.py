"""The whole way of a quote: assemblies are built, judged and checked one by one, then together; what can be cut is counted and priced.

Pure: the same request, catalogue, prices and day give the same document.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

from pricing.bench.document import charged, plan_document, without_money
from pricing.bench.planning import WirePlan, bought_for_the_job, plan_quotes
from pricing.bench.shelf import Shelf
from pricing.bench.wanted import wanted
from pricing.cautions import CAUTIONS
from pricing.chain import build
from pricing.checks import ASSEMBLY_CHECKS, BOAT_CHECKS, Shop
from pricing.cutting import InvalidOrder
from pricing.demand import Collect, Order, Ship
from pricing.document import (
    assembly_document,
    charges_document,
    lines_document,
    seller_document,
    text_in,
    totals_document,
)
from pricing.findings import Finding, code, finding
from pricing.judging import Judged, judge
from pricing.material import Bill, Counted, count
from pricing.rules import price
from pricing.shares import shares
from pricing.version import ENGINE

if TYPE_CHECKING:
    from pricing.assembly import QuoteRequest
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import StockRow, Wire
    from pricing.rates import PriceTable, Rates
    from pricing.sheet import Priced

NO_LENGTHS = code(
    "no-lengths-to-buy", "ask", "The wire is bought for this job, but no length that it can be bought in is listed: its rest is not priced."
)
NOT_ON_SHELF = code(
    "not-on-the-shelf", "note", "The shop's stock does not hold every piece of this wire; the cutting plan is without them."
)
NOT_PLANNED = code(
    "cutting-not-planned",
    "note",
    "The cuts could not be planned with the prices and lengths in the shop's tables; the quote is without a cutting plan.",
)
LEFT_OUT = code("assemblies-left-out", "note", "Some assemblies are on hold: they are not priced, and the total is without them.")
USUAL_PRICE_LIST = "retail"


class Quoted(NamedTuple):
    """A quote document, and the shop's own view of the cutting plan in it: the same cuts with what they really cost beside what is charged.

    Both are without a plan (None) where the tables' amounts cannot be planned with; a finding says so.
    """

    document: dict[str, Any]
    bench: dict[str, Any] | None


def make_quote(request: QuoteRequest, catalogue: Catalogue, prices: PriceTable, day: date) -> dict[str, Any]:
    """Quote a request at the prices of a day, without a cutting plan.

    Returns the quote document without id, number, revision and status. An assembly that cannot be built is on hold and not priced;
    nothing raises for it. Raises NoPrice for a day before any price, RequestError for an unknown price list.
    """
    return _quote(request, catalogue, prices.at(day))


def make_quote_and_plan(request: QuoteRequest, catalogue: Catalogue, prices: PriceTable, day: date, stock: tuple[StockRow, ...]) -> Quoted:
    """The same quote with the cutting plan of its wires on this stock and on spools to be bought: the planner's first rung, which always answers at once."""
    rates = prices.at(day)
    document = _quote(request, catalogue, rates)
    shelf = Shelf(stock, rates.spools)
    try:
        plans = plan_quotes(wanted(document["assemblies"], request.boat.name), catalogue.wires, shelf, rates.terms)
    except InvalidOrder as refused:
        document["findings"].append(_not_planned(refused).document())
        return Quoted(document, None)
    bench = plan_document(plans, document["currency"], text_in(request.display_units))
    bench |= {"title": request.boat.name or "a boat without a name", "day": day.isoformat(), "display_units": request.display_units}
    bench["planned_on"] = "shop"
    document["cutting_plan"] = without_money(bench)
    document["findings"] += [_not_on_shelf(each).document() for each in bench["wires"] if each["unplanned"]]
    for each in bench["wires"]:
        each["charged"] = charged(document["lines"], each["wire"]["sku"], document["currency"])
    return Quoted(document, bench)


def _quote(request: QuoteRequest, catalogue: Catalogue, rates: Rates) -> dict[str, Any]:
    judged = tuple(judge(build(assembly, catalogue, rates.terms), rates.terms) for assembly in request.assemblies)
    counted = tuple(count(each.built, catalogue) for each in judged)
    found = _findings(judged, counted, Shop(request, rates.terms))
    bill = Bill()
    built = [None if any(each.severity == "stop" for each in findings) else one for one, findings in zip(counted, found, strict=True)]
    for one in built:
        if one is not None:
            bill.add(one)
    text = text_in(request.display_units)
    assemblies = [assembly_document(*each, text) for each in zip(judged, counted, found, strict=True)]
    to_buy, unclear = _to_buy(assemblies, catalogue, rates)
    demands = bill.demands({each.wire.sku: each.rest_metres() for each in to_buy})
    priced = price(Order(demands, request.price_list or usual_list(rates.price_lists()), _delivery(request, bill)), rates)
    for document, share in zip(assemblies, shares(built, priced.lines, priced.currency), strict=True):
        document["price"] = None if share is None else {"net": str(share)}
    said = [*priced.findings, *unclear, *(_not_listed(each.wire) for each in to_buy if each.plan is None or each.plan.unplanned)]
    return _document(request, catalogue, rates, priced, bill, assemblies, said)


def _to_buy(assemblies: list[dict[str, Any]], catalogue: Catalogue, rates: Rates) -> tuple[tuple[WirePlan, ...], list[Finding]]:
    """What is bought for this job alone, for its customer pays the rest; and what is to be said where that cannot be planned."""
    try:
        shelf = Shelf((), rates.spools)
        return plan_quotes(wanted(assemblies, None), catalogue.wires, shelf, rates.terms, only=bought_for_the_job), []
    except InvalidOrder as refused:
        message = f"What is left over of wire bought for this job is not priced: {_reasons(refused)}."
        return (), [finding(NO_LENGTHS, "/assemblies", message, "Check the prices and lengths in the table of spools.")]


def _reasons(refused: InvalidOrder) -> str:
    return "; ".join(each.detail for each in refused.failures)


def _not_planned(refused: InvalidOrder) -> Finding:
    message = f"The cutting plan is left out: {_reasons(refused)}."
    return finding(
        NOT_PLANNED,
        "/cutting_plan",
        message,
        "Check the prices, lengths and terms in the shop's tables, then ask for a plan of this quote.",
    )


def _findings(judged: tuple[Judged, ...], counted: tuple[Counted | None, ...], shop: Shop) -> list[tuple[Finding, ...]]:
    """Everything said of each assembly, with whole pointers: building, judging, counting, checks, the boat as a whole."""
    found: list[list[Finding]] = []
    for one, bill in zip(judged, counted, strict=True):
        said = [*one.built.findings, *one.findings, *(bill.findings if bill else ())]
        for check in ASSEMBLY_CHECKS:
            said += check(one, shop)
        found.append(said)
    for boat_check in BOAT_CHECKS:
        for place, each in boat_check(judged, shop):
            found[place].append(each)
    return [tuple([each.under(f"/assemblies/{place}/") for each in said]) for place, said in enumerate(found)]


def usual_list(lists: Sequence[str]) -> str:
    """Retail where the shop has such a list, else its first by name; the quote says which."""
    return USUAL_PRICE_LIST if USUAL_PRICE_LIST in lists or not lists else lists[0]


def _delivery(request: QuoteRequest, bill: Bill) -> Collect | Ship:
    return Ship(bill.kg, bill.coil) if request.delivery == "ship" else Collect()


def _not_on_shelf(planned: dict[str, Any]) -> Finding:
    left = ", ".join(f"{each['label']} ({each['length']['text']}, {each['quantity']} of it)" for each in planned["unplanned"])
    message = f"{planned['wire']['name']}: the stock of today does not hold {left}."
    return finding(
        NOT_ON_SHELF, "/cutting_plan", message, "The price does not depend on it. The shop adds wire to its stock before it cuts."
    )


def _not_listed(wire: Wire) -> Finding:
    message = (
        f"{wire.name} is bought for this job, but not every piece fits a length that is listed for it: what is left over is not priced."
    )
    return finding(NO_LENGTHS, "/assemblies", message, "Ask the supplier for lengths and add them to the table of spools.")


def _document(
    request: QuoteRequest,
    catalogue: Catalogue,
    rates: Rates,
    priced: Priced,
    bill: Bill,
    assemblies: list[dict[str, Any]],
    findings: list[Finding],
) -> dict[str, Any]:
    terms, day = rates.terms, rates.day
    held = [each["tag"] for each in assemblies if each["readiness"] == "hold"]
    if held:
        message = f"Not in the total: {', '.join(held)}."
        findings.append(finding(LEFT_OUT, "/assemblies", message, "Follow the remedies of their findings and ask again."))
    return {
        "binding": "estimate",
        "issued_on": day.isoformat(),
        "valid_until": (day + timedelta(days=terms.validity_days)).isoformat(),
        "currency": priced.currency,
        "price_list": priced.price_list,
        "seller": seller_document(terms),
        "customer": {"name": request.customer.name, "reference": request.customer.reference, "email": request.customer.email},
        "boat": {
            "name": request.boat.name,
            "length_overall": None if request.boat.length_overall is None else {"mm": str(request.boat.length_overall)},
        },
        "display_units": request.display_units,
        "delivery": request.delivery,
        "note": request.note,
        "lead_time_days": terms.lead_time_days,
        "left_out": held,
        "assemblies": assemblies,
        "bill_of_materials": bill.lines(),
        "cutting_plan": None,
        "lines": lines_document(priced),
        "charges": charges_document(priced.charges, priced.currency),
        "totals": totals_document(priced.totals, priced.currency),
        "findings": [each.document() for each in findings],
        "cautions": list(CAUTIONS),
        "provenance": {
            "engine": ENGINE,
            "catalogue": catalogue.version,
            "catalogue_edition": catalogue.edition.name,
            "price_table": catalogue.price_version,
            "priced_on": day.isoformat(),
        },
    }
