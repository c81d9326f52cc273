"""A plan asked for: lengths typed in by hand on one wire, or the pieces of many quotes together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pricing.bench.document import plan_document
from pricing.bench.planning import bought_for_the_job, plan_quotes, plan_wire
from pricing.bench.shelf import UNRETURNABLE, Shelf, policy, upward
from pricing.bench.wanted import Wanted, wanted
from pricing.cutting import InvalidOrder, Limits, Policy, Source, Stock
from pricing.demand import metres
from pricing.document import Json, text_in
from pricing.errors import RequestError
from pricing.units import tenth

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import StockRow, Wire
    from pricing.rates import Rates

OFF_THE_SHELF = "wire that is bought for the job comes new: leave offcuts and opened spools out, or send `bought_for_the_job` as false"
NO_FEE = "what is left of wire that is bought for the job is not kept, so nothing is paid for keeping it: leave this out, or send `bought_for_the_job` as false"
EFFORTS = ("first_rung", "whole_ladder")
NO_STOCK = "the shop has no stock of this wire and lists no spool to buy: add it to the shop's tables, or send `stock` with the request"


@dataclass(frozen=True, slots=True)
class PlanWire:
    """A wire by its sku, or by construction, material and nominal diameter (mm)."""

    sku: str | None = None
    construction: str | None = None
    material: str | None = None
    diameter: Decimal | None = None


@dataclass(frozen=True, slots=True)
class TypedPiece:
    """`quantity` pieces of `length` mm."""

    length: Decimal
    quantity: int = 1
    label: str = ""


@dataclass(frozen=True, slots=True)
class TypedStock:
    """A row of stock that the request brings along; `opening_cost` of each of its new spools comes to what taking it up costs."""

    row: Stock
    opening_cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PlanTerms:
    """Terms for this plan alone, where they are not the shop's: mm, and money of the shop's currency.

    `opening_cost` of a new spool is the shop's on its own stock, and nothing on stock of the request, unless it is said.
    """

    allowance: Decimal | None = None
    least_rest: Decimal | None = None
    touch_cost: Decimal | None = None
    opening_cost: Decimal | None = None
    rest_fee: Decimal | None = None
    bought_for_the_job: bool | None = None


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What to plan: `wire` and `pieces`, or the `quotes` by id. `stock` stands in for the shop's own."""

    wire: PlanWire | None = None
    pieces: tuple[TypedPiece, ...] = ()
    quotes: tuple[str, ...] = ()
    stock: tuple[TypedStock, ...] | None = None
    terms: PlanTerms = PlanTerms()
    display_units: str = "metric"
    effort: str = "whole_ladder"


def plan_pieces(order: PlanOrder, catalogue: Catalogue, rates: Rates, stock: tuple[StockRow, ...], limits: Limits) -> Json:
    """The plan of typed lengths, each to 0.1 mm, half up. Raises RequestError with every fault."""
    wire = _wire(order.wire or PlanWire(), catalogue)
    pieces = tuple(Wanted(wire.sku, tenth(each.length), each.quantity, each.label) for each in order.pieces)
    rules = _rules(order, wire, rates)
    objects = (
        _shops(order.terms, wire, rates, stock, for_the_job=_for_the_job(order, wire)) if order.stock is None else _brought(order, rules)
    )
    if not objects and order.stock is None:
        raise RequestError([("/wire", "no_stock", NO_STOCK)])
    try:
        made = plan_wire(wire, pieces, objects, rules, limits) if objects else _nothing()
    except InvalidOrder as refused:
        raise RequestError([(_pointer(each.pointer), each.code, each.detail) for each in refused.failures]) from None
    return {**_head(order, rates, wire.name), **plan_document([made], rates.terms.currency, text_in(order.display_units))}


def _nothing() -> Any:
    raise RequestError([("/stock", "no_stock", "there is no stock to cut from: list at least one spool or offcut, or leave `stock` out")])


def plan_together(
    order: PlanOrder,
    documents: Sequence[Mapping[str, Any]],
    catalogue: Catalogue,
    rates: Rates,
    stock: tuple[StockRow, ...],
    limits: Limits,
) -> Json:
    """One plan, wire by wire, of everything that quotes of any boats can cut. Raises RequestError for a wire no longer sold."""
    pieces = [each for document in documents for each in wanted(document["assemblies"], document["boat"]["name"], document["number"])]
    gone = sorted({each.sku for each in pieces} - catalogue.wires.keys())
    if gone:
        raise RequestError(
            [("/quotes", "unknown_wire", f"the catalogue in force does not have {', '.join(gone)}: quote those boats again")]
        )
    try:
        plans = plan_quotes(pieces, catalogue.wires, Shelf(stock, rates.spools), rates.terms, limits)
    except InvalidOrder as refused:
        raise RequestError([("/quotes", each.code, f"the shop's tables: {each.detail}") for each in refused.failures]) from None
    title = _boats(document["boat"]["name"] for document in documents)
    named = [{name: document[name] for name in ("id", "number", "revision")} for document in documents]
    made = plan_document(plans, rates.terms.currency, text_in(order.display_units))
    _compare(made, documents)
    return {**_head(order, rates, title), "quotes": named, **made}


def _compare(made: Json, documents: Sequence[Mapping[str, Any]]) -> None:
    """A note on wire bought for a quote of which more or less is left than its customer paid for: the lengths to buy have changed since."""
    paid = {
        (document["number"], line["sku"]): Decimal(line["quantity"])
        for document in documents
        for line in document["lines"]
        if line["rule"] == "rest"
    }
    for wire in made["wires"]:
        if wire["bought_for_the_job"] and not wire["unplanned"]:
            charged = paid.get((wire["for_quote"], wire["wire"]["sku"]), Decimal(0))
            left = metres(Decimal(wire["totals"]["customers"]["mm"]) / 1000)
            if charged != left:
                words = f"{wire['for_quote']} charges a rest of {charged} m of this wire, this plan leaves {left} m: what can be bought has changed since"
                wire["notes"].append({"code": "rest_not_as_charged", "message": words, "subject": wire["for_quote"]})


def _head(order: PlanOrder, rates: Rates, title: str) -> Json:
    planned_on = "shop" if order.stock is None else "request"
    return {"title": title, "day": rates.day.isoformat(), "display_units": order.display_units, "planned_on": planned_on}


def _boats(names: Iterable[str | None]) -> str:
    first, *more = [name or "a boat without a name" for name in names]
    return first if not more else f"{first} and {len(more)} more"


def _wire(asked: PlanWire, catalogue: Catalogue) -> Wire:
    """The one wire meant. Raises RequestError, with the choices that there are."""
    found = [
        row
        for row in catalogue.wires.values()
        if asked.sku in (None, row.sku)
        and asked.construction in (None, row.construction)
        and asked.material in (None, row.material)
        and asked.diameter in (None, row.diameter)
    ]
    if not found:
        raise RequestError([("/wire", "unknown_wire", "no wire of the catalogue is this one; GET /v1/catalogue/wires lists them")])
    if len(found) > 1:
        some = ", ".join(row.sku for row in found[:5])
        raise RequestError([("/wire", "ambiguous_wire", f"{len(found)} wires are meant by this: {some} ...; say which by its sku")])
    return found[0]


def _for_the_job(order: PlanOrder, wire: Wire) -> bool:
    """Whether the wire comes new for this job, and its rest is worth nothing to the shop. Raises RequestError for what does not go with that."""
    asked = order.terms
    if not (bought_for_the_job(wire) if asked.bought_for_the_job is None else asked.bought_for_the_job):
        return False
    refused = [
        (f"/stock/{place}/kind", "not_with_bought_for_the_job", OFF_THE_SHELF)
        for place, each in enumerate(order.stock or ())
        if each.row.source is not Source.NEW
    ]
    if asked.rest_fee is not None:
        refused.append(("/terms/rest_fee", "not_with_bought_for_the_job", NO_FEE))
    if refused:
        raise RequestError(refused)
    return True


def _shops(asked: PlanTerms, wire: Wire, rates: Rates, stock: tuple[StockRow, ...], *, for_the_job: bool) -> tuple[Stock, ...]:
    """The shop's own stock, with the request's costs of taking up and opening."""
    shop = rates.terms
    terms = replace(
        shop,
        touch_cost=shop.touch_cost if asked.touch_cost is None else asked.touch_cost,
        opening_cost=shop.opening_cost if asked.opening_cost is None else asked.opening_cost,
    )
    shelf = Shelf(stock, rates.spools)
    return shelf.bought(wire.sku, terms) if for_the_job else shelf.of(wire.sku, terms)


def _brought(order: PlanOrder, rules: Policy) -> tuple[Stock, ...]:
    """The stock of the request."""
    usual = order.terms.opening_cost or Decimal(0)
    made = []
    for each in order.stock or ():
        touch, opening = each.row.touch, usual if each.opening_cost is None else each.opening_cost
        if each.row.source is Source.NEW and opening:
            touch = (rules.touch if touch is None else touch) + opening
        made.append(replace(each.row, touch=touch))
    return tuple(made)


def _rules(order: PlanOrder, wire: Wire, rates: Rates) -> Policy:
    asked, for_the_job = order.terms, _for_the_job(order, wire)
    rules = policy(rates.terms, for_the_job=for_the_job)
    return replace(
        rules,
        allowance=rules.allowance if asked.allowance is None else upward(asked.allowance),
        least_rest=rules.least_rest if asked.least_rest is None else upward(asked.least_rest),
        touch=rules.touch if asked.touch_cost is None else asked.touch_cost,
        rest_fee=UNRETURNABLE if for_the_job else rules.rest_fee if asked.rest_fee is None else asked.rest_fee,
    )


def _pointer(pointer: str) -> str:
    """The planner's names of things as a request has them."""
    said = pointer.replace("/policy/", "/terms/")
    return f"{said}_cost" if said.endswith("/touch") else said
