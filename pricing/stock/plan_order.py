"""Plans on request: for lengths entered by hand on one wire, or for the pieces of many quotes together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any

from pricing.cutting import InvalidOrder, Limits, Policy, Source, Stock
from pricing.document import Json, text_in
from pricing.errors import RequestError
from pricing.stock.document import Quoted, charged, customers, plan_document
from pricing.stock.pieces import LeftOut, QuoteToPlan, WantedPieces
from pricing.stock.planning import WirePlan, bought_for_the_job, plan_quotes, plan_wire
from pricing.stock.sentences import boat, left_out, remnant_as_charged
from pricing.stock.shelf import UNRETURNABLE, Shelf, policy, upward
from pricing.units import tenth
from pricing.values import Count, phrase
from pricing.wording import Voice, voice_for

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.rates import Rates
    from pricing.model import QuotedLine
    from pricing.rows import StockRow, Wire

OFF_THE_SHELF = "wire that is bought for the job comes new: leave offcuts and opened spools out, or send `bought_for_the_job` as false"
NO_FEE = "what is left of wire that is bought for the job is not kept, so nothing is paid for keeping it: leave this out, or send `bought_for_the_job` as false"
MOST_PIECES = 50_000
MOST_NAMED = 20  # wires in a refusal
EFFORTS = ("fast", "thorough")
NO_STOCK = "the shop has no stock of this wire and lists no spool to buy: add it to the shop's tables, or send `stock` with the request"


@dataclass(frozen=True, slots=True)
class PlanWire:
    """A wire by its SKU, or by construction, material and nominal diameter (mm)."""

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
    """A row of stock given in the request; the `opening_cost` of each of its new spools is added to the cost of taking it up."""

    row: Stock
    opening_cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PlanTerms:
    """Terms for this plan alone, where they differ from the shop's: mm, and money in the shop's currency.

    Unless given, the `opening_cost` of a new spool is the shop's for its own stock, and zero for stock given in the request.
    """

    allowance: Decimal | None = None
    minimum_remnant: Decimal | None = None
    touch_cost: Decimal | None = None
    opening_cost: Decimal | None = None
    remnant_fee: Decimal | None = None
    bought_for_the_job: bool | None = None


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What to plan: `wire` and `pieces`, or `quotes` by id. `stock` replaces the shop's own."""

    wire: PlanWire | None = None
    pieces: tuple[TypedPiece, ...] = ()
    quotes: tuple[str, ...] = ()
    stock: tuple[TypedStock, ...] | None = None
    terms: PlanTerms = PlanTerms()
    display_units: str = "metric"
    effort: str = "thorough"


def order_for(quote: QuoteToPlan) -> PlanOrder:
    """The order for a quote's own plan, in its units and by the planner's first rung, which answers at once."""
    return PlanOrder(quotes=(quote.id,), display_units=quote.display_units, effort="fast")


def plan_pieces(order: PlanOrder, catalogue: Catalogue, rates: Rates, stock: tuple[StockRow, ...], limits: Limits) -> Json:
    """The plan for lengths entered by hand, each rounded half up to 0.1 mm. Raises RequestError with every fault."""
    wire = _wire(order.wire or PlanWire(), catalogue)
    pieces = tuple(WantedPieces(wire.sku, tenth(each.length), each.quantity, each.label) for each in order.pieces)
    rules = _rules(order, wire, rates)
    objects = (
        _shop_stock(order.terms, wire, rates, stock, for_the_job=_for_the_job(order, wire))
        if order.stock is None
        else _request_stock(order, rules)
    )
    if not objects and order.stock is None:
        raise RequestError([("/wire", "no_stock", NO_STOCK)])
    try:
        planned = plan_wire(wire, pieces, objects, rules, limits) if objects else _refuse_empty_stock()
    except InvalidOrder as refused:
        raise RequestError([(_pointer(each.pointer), each.code, each.detail) for each in refused.failures]) from None
    return {**_head(order, rates, wire.name), **plan_document([planned], rates.terms.currency, text_in(order.display_units), _voice(order))}


def _refuse_empty_stock() -> Any:
    raise RequestError([("/stock", "no_stock", "there is no stock to cut from: list at least one spool or offcut, or leave `stock` out")])


def plan_together(
    order: PlanOrder,
    quotes: Sequence[QuoteToPlan],
    catalogue: Catalogue,
    rates: Rates,
    stock: tuple[StockRow, ...],
    limits: Limits,
) -> Json:
    """One plan, wire by wire, for everything that can be cut in quotes for any boats. Raises RequestError for a wire no longer sold."""
    pieces = [each for quote in quotes for each in quote.pieces_in(order.display_units)]
    if sum(each.quantity for each in pieces) > MOST_PIECES:
        raise RequestError(
            [("/quotes", "too_many_pieces", f"at most {MOST_PIECES} pieces are planned at once: plan these quotes in parts")]
        )
    gone = sorted({each.sku for each in pieces} - catalogue.wires.keys())
    if gone:
        raise RequestError(
            [("/quotes", "unknown_wire", f"the catalogue in force does not have {', '.join(gone)}: quote those boats again")]
        )
    try:
        plans = plan_quotes(pieces, catalogue.wires, Shelf(stock, rates.spools), rates.terms, limits)
    except InvalidOrder as refused:
        raise RequestError([("/quotes", each.code, f"the shop's tables: {each.detail}") for each in refused.failures]) from None
    voice = _voice(order)
    title = _boats([quote.boat for quote in quotes], voice)
    named = [{"id": quote.id, "number": quote.number, "revision": quote.revision} for quote in quotes]
    quoted = partial(_quoted, quotes, rates.terms.currency, voice)
    return {
        **_head(order, rates, title),
        "quotes": named,
        "left_out": [_left_out(each, voice) for quote in quotes for each in quote.left_out],
        **plan_document(plans, rates.terms.currency, text_in(order.display_units), voice, quoted),
    }


def _left_out(left: LeftOut, voice: Voice) -> Json:
    row = {"quote": left.quote, "label": left.tag, "quantity": left.quantity, "reason": left.reason}
    return {**row, "message": voice.phrase(left_out(row))}


def _quoted(quotes: Sequence[QuoteToPlan], currency: str, voice: Voice, wire_plan: WirePlan) -> Quoted:
    """What the customers of these quotes pay for one wire, with a note if a remnant bought for one of them was priced differently."""
    own = [quote for quote in quotes if wire_plan.for_quote in (None, quote.number)]
    lines = [line for quote in own for line in quote.lines if line.sku == wire_plan.wire.sku]
    paid = charged(lines, currency) if all(quote.currency == currency for quote in own) else None
    return Quoted(paid, tuple(_compared(lines, wire_plan, voice)))


def _compared(lines: Sequence[QuotedLine], wire_plan: WirePlan, voice: Voice) -> Iterator[Json]:
    """A note if wire bought for a quote leaves more or less than its customer paid for: the lengths to buy have changed since."""
    if not wire_plan.bought_for_the_job or wire_plan.for_quote is None or wire_plan.plan is None or wire_plan.plan.unplanned:
        return
    paid = sum((line.quantity for line in lines if line.rule == "remnant"), Decimal(0))
    left = customers(wire_plan)
    if paid != left:
        yield remnant_as_charged(wire_plan.for_quote, paid, left, voice, proven=wire_plan.plan.proven)


def _head(order: PlanOrder, rates: Rates, title: str) -> Json:
    stock_source = "shop" if order.stock is None else "request"
    return {"title": title, "day": rates.day.isoformat(), "display_units": order.display_units, "stock_source": stock_source}


def _voice(order: PlanOrder) -> Voice:
    """The shop's voice in English: plans are requested by the shop, and an order does not name a language."""
    return voice_for("en", order.display_units, "shop")


def _boats(names: Sequence[str | None], voice: Voice) -> str:
    first, more = boat(names[0]), len(names) - 1
    return voice.value(phrase("plan.boats", first=first, more=Count(more)) if more else first)


def _wire(spec: PlanWire, catalogue: Catalogue) -> Wire:
    """The single matching wire. Raises RequestError, listing the choices, if there is not exactly one."""
    matches = [
        row
        for row in catalogue.wires.values()
        if spec.sku in (None, row.sku)
        and spec.construction in (None, row.construction)
        and spec.material in (None, row.material)
        and spec.diameter in (None, row.diameter)
    ]
    if not matches:
        raise RequestError([("/wire", "unknown_wire", f"{_no_wire(spec, catalogue)}; GET /v1/catalogue/wires lists all")])
    if len(matches) > 1:
        some = ", ".join(row.sku for row in matches[:5])
        raise RequestError([("/wire", "ambiguous_wire", f"{len(matches)} wires are meant by this: {some} ...; say which by its sku")])
    return matches[0]


def _for_the_job(order: PlanOrder, wire: Wire) -> bool:
    """Whether the wire is bought new for this job, so that its remnant is worth nothing to the shop.

    Raises RequestError for incompatible fields.
    """
    overrides = order.terms
    if not (bought_for_the_job(wire) if overrides.bought_for_the_job is None else overrides.bought_for_the_job):
        return False
    refused = [
        (f"/stock/{place}/kind", "not_with_bought_for_the_job", OFF_THE_SHELF)
        for place, each in enumerate(order.stock or ())
        if each.row.source is not Source.NEW
    ]
    if overrides.remnant_fee is not None:
        refused.append(("/terms/remnant_fee", "not_with_bought_for_the_job", NO_FEE))
    if refused:
        raise RequestError(refused)
    return True


def _shop_stock(overrides: PlanTerms, wire: Wire, rates: Rates, stock: tuple[StockRow, ...], *, for_the_job: bool) -> tuple[Stock, ...]:
    """The shop's own stock, with the request's costs of taking up and opening spools."""
    shop = rates.terms
    terms = replace(
        shop,
        touch_cost=shop.touch_cost if overrides.touch_cost is None else overrides.touch_cost,
        opening_cost=shop.opening_cost if overrides.opening_cost is None else overrides.opening_cost,
    )
    shelf = Shelf(stock, rates.spools)
    return shelf.bought(wire.sku, terms) if for_the_job else shelf.of(wire.sku, terms)


def _request_stock(order: PlanOrder, rules: Policy) -> tuple[Stock, ...]:
    """The stock given in the request."""
    usual = order.terms.opening_cost or Decimal(0)
    opened = []
    for each in order.stock or ():
        touch, opening = each.row.touch, usual if each.opening_cost is None else each.opening_cost
        if each.row.source is Source.NEW and opening:
            touch = (rules.touch if touch is None else touch) + opening
        opened.append(replace(each.row, touch=touch))
    return tuple(opened)


def _rules(order: PlanOrder, wire: Wire, rates: Rates) -> Policy:
    overrides, for_the_job = order.terms, _for_the_job(order, wire)
    rules = policy(rates.terms, for_the_job=for_the_job)
    return replace(
        rules,
        allowance=rules.allowance if overrides.allowance is None else upward(overrides.allowance),
        least_remnant=rules.least_remnant if overrides.minimum_remnant is None else upward(overrides.minimum_remnant),
        touch=rules.touch if overrides.touch_cost is None else overrides.touch_cost,
        remnant_fee=UNRETURNABLE if for_the_job else rules.remnant_fee if overrides.remnant_fee is None else overrides.remnant_fee,
    )


def _pointer(pointer: str) -> str:
    """Translates the planner's field names to those of a request."""
    renamed = pointer.replace("/policy/", "/terms/").replace("/least_remnant", "/minimum_remnant")
    return f"{renamed}_cost" if renamed.endswith("/touch") else renamed


def _no_wire(spec: PlanWire, catalogue: Catalogue) -> str:
    """A sentence on what the catalogue lacks, with its wires of the same construction and material, or construction alone, if any."""
    if spec.sku is not None and not any(row.sku == spec.sku for row in catalogue.wires.values()):
        return f"no wire of the catalogue has the sku {spec.sku!r}"
    alike = [row for row in catalogue.wires.values() if spec.construction in (None, row.construction)]
    closer = [row.sku for row in alike if spec.material in (None, row.material)]
    some = (closer or [row.sku for row in alike])[:MOST_NAMED]
    if spec.sku is not None or not some:
        return "no wire of the catalogue is all of this"
    what = "this diameter, but of the construction and material" if closer else "this material, but of the construction"
    return f"the catalogue has no wire of {what} it has {', '.join(some)}"
