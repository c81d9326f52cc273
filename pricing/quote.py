"""The whole way of a quote: assemblies are built, judged and checked one by one, then together; what can be cut is counted and priced.

Pure: the same request, catalogue, prices and day give the same document.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from pricing.cautions import CAUTIONS
from pricing.chain import build
from pricing.checks import ASSEMBLY_CHECKS, BOAT_CHECKS, Shop
from pricing.demand import Collect, Order, Ship
from pricing.document import (
    assembly_document,
    charges_document,
    lines_document,
    text_in,
    totals_document,
)
from pricing.findings import Finding, code, finding
from pricing.judging import Judged, judge
from pricing.material import Bill, Counted, count
from pricing.rules import price
from pricing.version import ENGINE

if TYPE_CHECKING:
    from pricing.assembly import QuoteRequest
    from pricing.catalogue import Catalogue
    from pricing.rates import PriceTable, Rates
    from pricing.sheet import Priced

LEFT_OUT = code("assemblies-left-out", "note", "Some assemblies are on hold: they are not priced, and the total is without them.")
USUAL_PRICE_LIST = "retail"


def make_quote(request: QuoteRequest, catalogue: Catalogue, prices: PriceTable, day: date) -> dict[str, Any]:
    """Quote a request at the prices of a day. Returns the quote document without id, number, revision and status.

    An assembly that cannot be built is on hold and not priced; nothing raises for it. Raises NoPrice for a day before any price,
    RequestError for an unknown price list.
    """
    rates = prices.at(day)
    judged = tuple(judge(build(assembly, catalogue, rates.terms), rates.terms) for assembly in request.assemblies)
    counted = tuple(count(each.built, catalogue) for each in judged)
    found = _findings(judged, counted, Shop(request, rates.terms))
    bill = Bill()
    for one, findings in zip(counted, found, strict=True):
        if one is not None and not any(each.severity == "stop" for each in findings):
            bill.add(one)
    priced = price(Order(bill.demands(), request.price_list or _usual_list(rates), _delivery(request, bill)), rates)
    text = text_in(request.display_units)
    assemblies = [assembly_document(*each, text) for each in zip(judged, counted, found, strict=True)]
    return _document(request, catalogue, rates, priced, bill, assemblies)


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


def _usual_list(rates: Rates) -> str:
    """Retail where the shop has such a list, else its first by name; the quote says which."""
    lists = rates.price_lists()
    return USUAL_PRICE_LIST if USUAL_PRICE_LIST in lists or not lists else lists[0]


def _delivery(request: QuoteRequest, bill: Bill) -> Collect | Ship:
    return Ship(bill.kg, bill.coil) if request.delivery == "ship" else Collect()


def _document(
    request: QuoteRequest, catalogue: Catalogue, rates: Rates, priced: Priced, bill: Bill, assemblies: list[dict[str, Any]]
) -> dict[str, Any]:
    terms, day = rates.terms, rates.day
    held = [each["tag"] for each in assemblies if each["readiness"] == "hold"]
    findings = list(priced.findings)
    if held:
        message = f"Not in the total: {', '.join(held)}."
        findings.append(finding(LEFT_OUT, "/assemblies", message, "Follow the remedies of their findings and ask again."))
    return {
        "binding": "estimate",
        "issued_on": day.isoformat(),
        "valid_until": (day + timedelta(days=terms.validity_days)).isoformat(),
        "currency": priced.currency,
        "price_list": priced.price_list,
        "seller": {"name": terms.seller},
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
