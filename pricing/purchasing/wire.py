"""How much of each wire quotes take, from the shelf and from reels to be bought, according to their cutting plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

from pricing.cutting import InvalidOrder, Limits
from pricing.errors import RequestError
from pricing.stock.document import unplanned
from pricing.stock.plan_order import MOST_PIECES
from pricing.stock.planning import WirePlan, plan_quotes
from pricing.stock.shelf import Shelf

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.rates import Rates
    from pricing.rows import StockRow
    from pricing.stock.pieces import QuoteToPlan, WantedPieces

ZERO = Decimal(0)
UNKNOWN_WIRE = "unknown_wire"


@dataclass(frozen=True, slots=True)
class NoPlace:
    """Pieces of `length` mm that fit neither the stock nor any reel on sale; `reason` as in a cutting plan, or `unknown_wire`."""

    quote: str
    label: str
    length: Decimal
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True)
class Reels:
    """Reels of one length in m to buy: how many, and the most that is cut off one of them."""

    length: Decimal
    count: int
    used: Decimal


@dataclass(frozen=True, slots=True)
class WireNeed:
    """The need for one wire, in metres: `needed` in pieces, of which `off_shelf` from stock; stock `gone` and remnants `kept`.

    `reels` are to be bought; `quotes` are the numbers of the quotes that need the wire.
    """

    sku: str
    name: str
    needed: Decimal
    off_shelf: Decimal = ZERO
    gone: Decimal = ZERO
    kept: Decimal = ZERO
    reels: tuple[Reels, ...] = ()
    no_place: tuple[NoPlace, ...] = ()
    quotes: tuple[str, ...] = ()


def wire_needs(
    quotes: Sequence[QuoteToPlan], catalogue: Catalogue, rates: Rates, stock: tuple[StockRow, ...], limits: Limits
) -> tuple[WireNeed, ...]:
    """The need for each wire over all quotes. Raises RequestError for too many pieces, or for tables that cannot be planned with."""
    pieces = [each for quote in quotes for each in quote.pieces]
    if sum(each.quantity for each in pieces) > MOST_PIECES:
        raise RequestError([("", "too_many_pieces", f"at most {MOST_PIECES} pieces are planned at once: name fewer quotes")])
    known = [each for each in pieces if each.sku in catalogue.wires]
    try:
        plans = plan_quotes(known, catalogue.wires, Shelf(stock, rates.spools), rates.terms, limits)
    except InvalidOrder as refused:
        raise RequestError([("", each.code, f"the shop's tables: {each.detail}") for each in refused.failures]) from None
    shelf = frozenset(row.id for row in stock)
    by_sku: dict[str, list[WirePlan]] = {}  # wire bought for a job has a plan for each quote
    for each in plans:
        by_sku.setdefault(each.wire.sku, []).append(each)
    gone = _gone(each for each in pieces if each.sku not in catalogue.wires)
    return (*(_need(own, shelf) for own in by_sku.values()), *gone)


def _need(plans: Sequence[WirePlan], shelf: frozenset[str]) -> WireNeed:
    wire = plans[0].wire
    wanted = [each for plan in plans for each in plan.wanted]
    uses = [use for plan in plans if plan.plan is not None for use in plan.plan.uses]
    own = [use for use in uses if use.stock_id in shelf]
    bought = sorted((use.length, use.used) for use in uses if use.stock_id not in shelf)
    by_length = {length: [used for _, used in same] for length, same in groupby(bought, key=itemgetter(0))}
    return WireNeed(
        wire.sku,
        wire.name,
        needed=_metres(each.quantity * each.length for each in wanted),
        off_shelf=_metres(cut.length for use in own for cut in use.cuts),
        gone=_metres(use.length for use in own),
        kept=_metres(use.remnant for use in uses if use.kept),
        reels=tuple(Reels(length / 1000, len(used), max(used) / 1000) for length, used in by_length.items()),
        no_place=tuple(
            NoPlace(plan.wanted[one.row].quote or "", one.label, one.length, one.quantity, one.reason)
            for plan in plans
            for one in unplanned(plan)
        ),
        quotes=tuple(dict.fromkeys(each.quote or "" for each in wanted)),
    )


def _gone(pieces: Iterable[WantedPieces]) -> Iterable[WireNeed]:
    """Wires that the catalogue no longer has: nothing of them can be planned."""
    by_sku: dict[str, list[WantedPieces]] = {}
    for each in pieces:
        by_sku.setdefault(each.sku, []).append(each)
    for sku, own in by_sku.items():
        yield WireNeed(
            sku,
            sku,
            needed=_metres(each.quantity * each.length for each in own),
            no_place=tuple(NoPlace(each.quote or "", each.label, each.length, each.quantity, UNKNOWN_WIRE) for each in own),
            quotes=tuple(dict.fromkeys(each.quote or "" for each in own)),
        )


def _metres(lengths: Iterable[Decimal]) -> Decimal:
    return sum(lengths, ZERO) / 1000
