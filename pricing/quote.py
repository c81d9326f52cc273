"""Makes a quote: assemblies are built, assessed and checked, first one by one, then together; those that can be cut are counted and priced.

Pure: the same request, catalogue, prices and day give the same quote.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from pricing.catalogue import sold_on
from pricing.cautions import cautions
from pricing.checks import ASSEMBLY_CHECKS, BOAT_CHECKS, Shop
from pricing.checks.assessment import Assessment, assess
from pricing.checks.assumptions import gathered
from pricing.costing.bill import Bill, Counted, count
from pricing.costing.by_number import by_number
from pricing.costing.demand import Collect, Order, Ship
from pricing.costing.ending import ending
from pricing.costing.own_work import own_work
from pricing.costing.rules import price
from pricing.cutting import InvalidOrder
from pricing.document import text_in
from pricing.findings import Finding, code, finding
from pricing.geometry.chain import build
from pricing.measurement.pairing import paired
from pricing.model import Boat, Millimetres, Provenance, Quote, QuotedAssembly, QuotedFinding
from pricing.quoted_assembly import quoted_assembly, readiness
from pricing.quoted_prices import allowances_of, charges_of, customer_of, lines_of, prices_of, seller_of, totals_of
from pricing.stock.findings import of_bought, remnant_not_priced
from pricing.stock.pieces import WantedPieces, wanted_pieces
from pricing.stock.planning import WirePlan, bought_for_the_job, plan_quotes
from pricing.stock.shelf import Shelf
from pricing.units import tenth
from pricing.values import texts
from pricing.version import ENGINE
from pricing.wording import voice_for

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.priced_lines import Priced
    from pricing.costing.rates import PriceTable, Rates
    from pricing.measurement.assembly import QuoteRequest

LEFT_OUT = code("assemblies-left-out", "note", "Some assemblies are on hold: they are neither priced nor in the total.")
USUAL_PRICE_LIST = "retail"


def make_quote(request: QuoteRequest, catalogue: Catalogue, prices: PriceTable, day: date) -> Quote:
    """Quote a request at the prices of a day.

    Returns the quote without id, number, revision and status. An assembly that cannot be built is on hold and not priced; nothing is raised
    for it. Raises NoPrice for a day before any price, and RequestError for an unknown price list, for work that the shop does not offer, or
    for an article, line or discount that cannot be added by hand.
    """
    catalogue = sold_on(catalogue, day)
    rates, pairs = prices.at(day), paired(request.assemblies)
    own = own_work(request, catalogue.own_work)
    added = by_number(request.extra_articles, catalogue, rates)
    assessments = tuple(
        assess(build(assembly, catalogue, rates.terms), rates.terms, paired=place in pairs)
        for place, assembly in enumerate(request.assemblies)
    )
    counted = tuple(count(each.built, catalogue, work) for each, work in zip(assessments, own.of_each, strict=True))
    own_findings, assumed = gathered(_findings(assessments, counted, Shop(request, rates.terms)))
    held = [readiness(findings) == "hold" for findings in own_findings]
    built = [None if hold else one for one, hold in zip(counted, held, strict=True)]
    bill = Bill()
    for one in built:
        if one is not None:
            bill.add(one)
    for labour, quantity in own.of_the_boat if any(built) else ():
        bill.add_own(labour, quantity)
    bill.kg += added.kg
    to_buy, unclear = _to_buy(_pieces(assessments, held, request.boat.name), catalogue, rates)
    demands = bill.demands({each.wire.sku: each.remnant_metres() for each in to_buy})
    named = request.price_list or usual_list(rates.price_lists())
    order = Order(demands, named, _delivery(request, bill), request.extra_lines, request.discount, bool(own.of_the_boat), added.demands)
    priced = price(order, rates)
    text, voice = text_in(request.display_units), voice_for(request.language, request.display_units, "owner")
    borne = prices_of(built, priced, {labour.sku: quantity for labour, quantity in own.of_the_boat})
    assemblies = tuple(quoted_assembly(*each, text, voice) for each in zip(assessments, counted, own_findings, borne, strict=True))
    remarks = [*assumed, *priced.findings, *added.findings, *unclear, *of_bought(to_buy), *_left_out(assemblies)]
    remarks += ending(built, request.extra_articles, catalogue, _valid_until(rates))
    return _quote(request, catalogue, rates, priced, bill, assemblies, tuple([each.quoted(voice) for each in remarks]))


def _pieces(assessments: tuple[Assessment, ...], held: list[bool], boat: str | None) -> Iterator[WantedPieces]:
    for each, hold in zip(assessments, held, strict=True):
        cut, wire = each.built.cut, each.built.wire
        if not hold and cut is not None and wire is not None:
            yield wanted_pieces(each.built.assembly, wire.sku, tenth(cut), boat)


def _to_buy(pieces: Iterable[WantedPieces], catalogue: Catalogue, rates: Rates) -> tuple[tuple[WirePlan, ...], list[Finding]]:
    """Plans for wire bought for this job, whose remnant the customer pays for; with a finding, and no plans, if planning is impossible."""
    try:
        return plan_quotes(pieces, catalogue.wires, Shelf((), rates.spools), rates.terms, only=bought_for_the_job), []
    except InvalidOrder as refused:
        return (), [remnant_not_priced(refused)]


def _findings(assessments: tuple[Assessment, ...], counted: tuple[Counted | None, ...], shop: Shop) -> list[tuple[Finding, ...]]:
    """Each assembly's findings with absolute pointers: from building, assessing, counting, and the checks of assembly and boat."""
    by_assembly: list[list[Finding]] = []
    for one, bill in zip(assessments, counted, strict=True):
        findings = [*one.built.findings, *one.findings, *(bill.articles.findings if bill else ())]
        for check in ASSEMBLY_CHECKS:
            findings += check(one, shop)
        by_assembly.append(findings)
    for boat_check in BOAT_CHECKS:
        for place, each in boat_check(assessments, shop):
            by_assembly[place].append(each)
    return [tuple([each.under(f"/assemblies/{place}/") for each in findings]) for place, findings in enumerate(by_assembly)]


def usual_list(lists: Sequence[str]) -> str:
    """The retail price list if the shop has one, else its first by name; the quote names it."""
    return USUAL_PRICE_LIST if USUAL_PRICE_LIST in lists or not lists else lists[0]


def _delivery(request: QuoteRequest, bill: Bill) -> Collect | Ship:
    return Ship(bill.kg, bill.coil) if request.delivery == "ship" else Collect()


def _left_out(assemblies: tuple[QuotedAssembly, ...]) -> Iterator[Finding]:
    """A finding that names the assemblies on hold, which are not in the total; none if there are none."""
    if held := _held(assemblies):
        yield finding(LEFT_OUT, "/assemblies", wires=texts(held))


def _valid_until(rates: Rates) -> date:
    return rates.day + timedelta(days=rates.terms.validity_days)


def _held(assemblies: tuple[QuotedAssembly, ...]) -> tuple[str, ...]:
    return tuple([each.tag for each in assemblies if each.readiness == "hold"])


def _quote(
    request: QuoteRequest,
    catalogue: Catalogue,
    rates: Rates,
    priced: Priced,
    bill: Bill,
    assemblies: tuple[QuotedAssembly, ...],
    findings: tuple[QuotedFinding, ...],
) -> Quote:
    terms, day, held = rates.terms, rates.day, _held(assemblies)
    overall = request.boat.length_overall
    return Quote(
        binding="estimate",
        issued_on=day.isoformat(),
        valid_until=_valid_until(rates).isoformat(),
        currency=priced.currency,
        price_list=priced.price_list,
        seller=seller_of(terms),
        customer=customer_of(request.customer),
        boat=Boat(request.boat.name, None if overall is None else Millimetres(overall), request.boat.external_id),
        display_units=request.display_units,
        language=request.language,
        delivery=request.delivery,
        note=request.note,
        lead_time_days=terms.lead_time_days,
        fittings_priced=terms.fittings_priced,
        left_out=held,
        assemblies=assemblies,
        bill_of_materials=bill.lines(),
        lines=lines_of(priced),
        allowances=allowances_of(priced),
        charges=charges_of(priced),
        totals=totals_of(priced.totals, built=len(held) < len(assemblies)),
        findings=findings,
        cautions=tuple(cautions(request.language)),
        provenance=Provenance(ENGINE, catalogue.version, catalogue.edition.name, catalogue.price_version, day.isoformat()),
    )
