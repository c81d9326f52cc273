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
from pricing.cutting import InvalidOrder, Limits, Policy, Stock
from pricing.document import Json, text_in
from pricing.errors import RequestError
from pricing.units import tenth

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import StockRow, Wire
    from pricing.rates import Rates

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
class PlanTerms:
    """Terms for this plan alone, where they are not the shop's: mm, and money of the shop's currency."""

    allowance: Decimal | None = None
    least_rest: Decimal | None = None
    touch_cost: Decimal | None = None
    rest_fee: Decimal | None = None
    bought_for_the_job: bool | None = None


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What to plan: `wire` and `pieces`, or the `quotes` by id. `stock` stands in for the shop's own."""

    wire: PlanWire | None = None
    pieces: tuple[TypedPiece, ...] = ()
    quotes: tuple[str, ...] = ()
    stock: tuple[Stock, ...] | None = None
    terms: PlanTerms = PlanTerms()
    display_units: str = "metric"
    effort: str = "whole_ladder"


def plan_pieces(order: PlanOrder, catalogue: Catalogue, rates: Rates, stock: tuple[StockRow, ...], limits: Limits) -> Json:
    """The plan of typed lengths, each to 0.1 mm, half up. Raises RequestError with every fault."""
    wire = _wire(order.wire or PlanWire(), catalogue)
    pieces = tuple(Wanted(wire.sku, tenth(each.length), each.quantity, each.label) for each in order.pieces)
    objects = Shelf(stock, rates.spools).of(wire.sku, rates.terms) if order.stock is None else order.stock
    if not objects and order.stock is None:
        raise RequestError([("/wire", "no_stock", NO_STOCK)])
    try:
        made = plan_wire(wire, pieces, objects, _rules(order.terms, wire, rates), limits) if objects else _nothing()
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
    plans = plan_quotes(pieces, catalogue.wires, Shelf(stock, rates.spools), rates.terms, limits)
    title = _boats(document["boat"]["name"] for document in documents)
    return {**_head(order, rates, title), **plan_document(plans, rates.terms.currency, text_in(order.display_units))}


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


def _rules(asked: PlanTerms, wire: Wire, rates: Rates) -> Policy:
    for_the_job = bought_for_the_job(wire) if asked.bought_for_the_job is None else asked.bought_for_the_job
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
