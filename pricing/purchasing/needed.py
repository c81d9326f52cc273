"""The purchase list by supplier: parts for accepted quotes not yet cut, the reels that their cutting plan buys, and wire running low.

Nothing is left out silently: articles without a supplier, pieces that no stock holds, and pieces that may not be cut yet are listed
separately.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.costing.by_hand import EXTRA_ARTICLE
from pricing.document import Json
from pricing.money import money_text, price_text
from pricing.purchasing.suppliers import Packs, Suppliers, whole_packs
from pricing.purchasing.wire import ZERO, Reels, WireNeed
from pricing.settling import cut_figure, pieces_cut
from pricing.stock.pieces import LeftOut, QuoteToPlan
from pricing.stock.sentences import left_out as left_out_words
from pricing.stock.sentences import why
from pricing.stock.shelf import downward

if TYPE_CHECKING:
    from pricing.model import Quote
    from pricing.purchasing.wire import NoPlace
    from pricing.rows import Purchase, StockRow, Wire
    from pricing.wording import Voice

QUOTES, LOW_STOCK = "quotes", "low_stock"
NOTES = {
    "fittings_not_stocked": "Only wire is kept in stock here: every fitting needed is listed. Subtract those already on your shelves.",
    "orders_not_kept": "Orders that you have sent are not recorded here: goods on their way stay listed until they are on the shelf, or their quote is cut.",
    "not_your_bench": "Goods ordered on the day to order by arrive on the very day that the quote is promised for: order earlier to leave time for the bench.",
}
_OTHER_LENGTH = "The cutting plan counts on {planned}: this reel is longer or shorter. List its length in spools.csv and plan again."
_SHORTER = "The same cuts fit on {length} m, too: {number}, for {cost}. The plan takes the longer reel since it costs less by the metre."
_UNKNOWN_WIRE = "The catalogue in force does not have this wire: quote the boat again."


@dataclass(frozen=True, slots=True)
class Part:
    """The amount of an article that a quote needs: pieces, or metres (`unit` m) of an article sold by the metre."""

    sku: str
    name: str
    quantity: Decimal | int
    unit: str = "each"


@dataclass(frozen=True, slots=True)
class QuoteToBuy:
    """A quote's needs: its pieces of wire, and the new parts of assemblies that may be built and are not yet cut.

    `ready_by`: the day it is promised for; None if it is not accepted.
    """

    plan: QuoteToPlan
    parts: tuple[Part, ...]
    ready_by: date | None = None

    @classmethod
    def of(cls, quote: Quote, ready_by: date | None = None) -> QuoteToBuy:
        """From a stored quote. Kept parts are not bought, and parts for pieces already cut are assumed to be in the shop.

        Articles added by number are bought until every piece is cut.
        """
        parts: dict[str, Part] = {}
        if any(each.quantity > pieces_cut(quote).get(each.tag, 0) for each in quote.assemblies):
            for line in quote.lines:
                if line.rule == EXTRA_ARTICLE:
                    had = parts.get(line.sku, Part(line.sku, line.name, 0))
                    parts[line.sku] = Part(line.sku, line.name, had.quantity + line.quantity, line.unit)
        for assembly in quote.assemblies:
            left = assembly.quantity - pieces_cut(quote).get(assembly.tag, 0)
            if cut_figure(quote, assembly) is None or left <= 0:
                continue
            for each in assembly.parts:
                if not each.kept:
                    held = parts.get(each.sku, Part(each.sku, each.name, 0))
                    parts[each.sku] = Part(each.sku, held.name, held.quantity + left * each.quantity)
        return cls(QuoteToPlan.of(quote), tuple(parts.values()), ready_by)


@dataclass(slots=True)
class _Requirement:
    """The requirement for one article over all quotes, before a supplier is chosen."""

    sku: str
    name: str
    unit: str
    needed: Decimal = ZERO
    off_shelf: Decimal = ZERO
    reels: tuple[Reels, ...] = ()
    short: Decimal = ZERO  # metres missing on the shelf below the shop's reorder level
    by_the_metre: Decimal = ZERO  # metres that quotes sell as they are, in no cutting plan
    quotes: list[str] = field(default_factory=list)
    by: date | None = None

    def add_quote(self, number: str, ready_by: date | None) -> None:
        """Add a quote that needs it; `by` becomes the earliest day promised."""
        if number not in self.quotes:
            self.quotes.append(number)
        if ready_by is not None and (self.by is None or ready_by < self.by):
            self.by = ready_by

    @property
    def reasons(self) -> list[str]:
        """The reasons to buy it: QUOTES, LOW_STOCK, or both."""
        bought = self.unit == "each" or self.reels or (self.by_the_metre and self.short)
        return [*([QUOTES] if bought else []), *([LOW_STOCK] if self.short and not self.by_the_metre else [])]


@dataclass(frozen=True, slots=True)
class Needed:
    """The input of the purchase list. `shelf`: wire in stock today; `wires`: the catalogue's wires by SKU."""

    quotes: Sequence[QuoteToBuy]
    needs: Sequence[WireNeed]
    shelf: Sequence[StockRow]
    wires: Mapping[str, Wire]
    suppliers: Suppliers
    day: date
    voice: Voice

    def document(self) -> Json:
        """The list as a JSON document: money and quantities as decimal text, days ISO 8601."""
        stocked = list(self._stocked())
        requirements = [*(each for each, _ in stocked if each.reasons), *self._parts()]
        orders: dict[str, list[Json]] = {}
        without_supplier = []
        for requirement in requirements:
            packs = self._packs(requirement)
            if not packs:
                without_supplier.append(self._without_supplier(requirement))
            for each, note in packs:
                orders.setdefault(each.offer.supplier, []).append(self._line(requirement, each, note))
        currency = self.suppliers.currency(self.day)
        return {
            "day": self.day.isoformat(),
            "currency": currency,
            "quotes": [
                {"id": each.plan.id, "number": each.plan.number, "revision": each.plan.revision, "ready_by": _iso(each.ready_by)}
                for each in self.quotes
            ],
            "suppliers": [_order(name, orders[name], currency) for name in sorted(orders)],
            "without_supplier": without_supplier,
            "wires": [summary for _, summary in stocked],
            "without_a_place": [self._no_place(each, need) for need in self.needs for each in need.no_place],
            "left_out": [self._left_out(each) for quote in self.quotes for each in quote.plan.left_out],
            "notes": [{"code": code, "message": message} for code, message in NOTES.items()],
        }

    def _parts(self) -> Iterable[_Requirement]:
        requirements: dict[str, _Requirement] = {}
        for quote in self.quotes:
            for part in (each for each in quote.parts if each.unit == "each"):
                requirement = requirements.setdefault(part.sku, _Requirement(part.sku, part.name, "each"))
                requirement.needed += part.quantity
                requirement.add_quote(quote.plan.number, quote.ready_by)
        return requirements.values()

    def _stocked(self) -> Iterator[tuple[_Requirement, Json]]:
        """Each wire that a quote needs or the shop reorders, with a JSON summary of what will be left on the shelf."""
        ready = {each.plan.number: each.ready_by for each in self.quotes}
        needs, by_the_metre = {need.sku: need for need in self.needs}, self._sold_by_the_metre()
        low = [sku for sku in self.suppliers.watched(self.day) if sku in self.wires]
        for sku in dict.fromkeys((*needs, *by_the_metre, *low)):
            sold, below = by_the_metre.get(sku), self.suppliers.reorder_below(sku, self.day)
            name = sold.name if sold is not None else self.wires[sku].name if sku in self.wires else sku
            need = needs.get(sku) or WireNeed(sku, name, ZERO)
            on_shelf = sum((row.count * row.length for row in self.shelf if row.wire == sku), ZERO) / 1000
            metres = sold.needed if sold is not None else ZERO
            left = on_shelf - need.gone + need.kept - metres
            short = max((below or ZERO) - left, ZERO) if below is not None or sold is not None else ZERO
            requirement = _Requirement(sku, need.name, "m", need.needed + metres, need.off_shelf, need.reels, short, metres)
            for number in sold.quotes if sold is not None else ():
                requirement.add_quote(number, ready.get(number))
            for number in need.quotes:
                requirement.add_quote(number, ready.get(number))
            yield (
                requirement,
                {
                    "sku": sku, "name": need.name, "needed": _metres(need.needed + metres), "off_shelf": _metres(need.off_shelf), "on_shelf": _metres(on_shelf),
                    "left": _metres(max(left, ZERO)), "reorder_below": None if below is None else _metres(below), "low": bool(short),
                },
            )  # fmt: skip

    def _sold_by_the_metre(self) -> dict[str, _Requirement]:
        """Wire that quotes sell uncut by the metre, by SKU: it is taken from what is left on the shelf."""
        requirements: dict[str, _Requirement] = {}
        for quote in self.quotes:
            for part in (each for each in quote.parts if each.unit == "m"):
                requirement = requirements.setdefault(part.sku, _Requirement(part.sku, part.name, "m"))
                requirement.needed += part.quantity
                requirement.add_quote(quote.plan.number, quote.ready_by)
        return requirements

    def _packs(self, requirement: _Requirement) -> list[tuple[Packs, str | None]]:
        """The packs to order, each with a remark if there is one; empty without a supplier."""
        preferred = self.suppliers.preferred(requirement.sku, self.day)
        if requirement.unit == "m":
            return self._reels(requirement, preferred)
        packs = self.suppliers.cheapest(preferred, requirement.needed, self.day)
        return [] if packs is None else [(packs, None)]

    def _reels(self, requirement: _Requirement, preferred: tuple[Purchase, ...]) -> list[tuple[Packs, str | None]]:
        """Reels of the lengths that the plan buys, each from a supplier of that length.

        Lengths that nobody sells, and what the shelf is short of, are ordered in the preferred supplier's cheapest reels.
        """
        counts: dict[Purchase, int] = {}
        notes: dict[Purchase, str | None] = {}
        rest, planned = requirement.short, list[str]()
        for reels in requirement.reels:
            offer = self._of_length(requirement.sku, reels.length, preferred)
            if offer is None:
                rest += reels.length * reels.count
                planned.append(f"{_metres(reels.length)} m")
            else:
                counts[offer] = counts.get(offer, 0) + reels.count
                notes[offer] = self._shorter(offer, reels, preferred)
        cheapest = self.suppliers.cheapest(preferred, rest, self.day) if rest else None
        if rest and cheapest is None:
            return []
        if cheapest is not None:
            counts[cheapest.offer] = counts.get(cheapest.offer, 0) + whole_packs(rest, cheapest.offer.pack_size.number)
            if planned:
                notes[cheapest.offer] = _OTHER_LENGTH.format(planned=" and ".join(planned))
        return [(self.suppliers.packs(offer, many * offer.pack_size.number, self.day), notes.get(offer)) for offer, many in counts.items()]

    def _shorter(self, offer: Purchase, reels: Reels, preferred: tuple[Purchase, ...]) -> str | None:
        """A remark if a cheaper reel would hold the cuts as well: the plan values the remnant of the longer reel at cost."""
        fits = [self.suppliers.packs(row, row.pack_size.number, self.day) for row in preferred if row.pack_size.number >= reels.used]
        least = min(fits, key=lambda packs: packs.cost, default=None)
        if least is None or least.cost >= self.suppliers.packs(offer, offer.pack_size.number, self.day).cost:
            return None
        cost = money_text(least.cost, self.suppliers.currency(self.day))
        return _SHORTER.format(length=_metres(least.quantity), number=least.offer.order_number, cost=cost)

    def _of_length(self, sku: str, length: Decimal, preferred: tuple[Purchase, ...]) -> Purchase | None:
        """The offer for a reel of exactly this length (m): the preferred supplier's, else the cheapest."""
        fits = [row for row in self.suppliers.offers(sku, self.day) if downward(row.pack_size.number * 1000) / 1000 == length]
        chosen = [row for row in fits if row in preferred] or fits
        return min(chosen, key=lambda row: row.cost, default=None)

    def _line(self, requirement: _Requirement, packs: Packs, note: str | None) -> Json:
        offer, currency = packs.offer, self.suppliers.currency(self.day)
        by = None if requirement.by is None or QUOTES not in requirement.reasons else requirement.by
        order_by = None if by is None else by - timedelta(days=min(offer.lead_time_days, by.toordinal() - 1))
        return {
            **self._head(requirement),
            "order_number": offer.order_number,
            "pack_size": _number(offer.pack_size.number, requirement.unit),
            "packs": packs.count,
            "quantity": _number(packs.quantity, requirement.unit),
            "minimum_order": None if offer.minimum_order is None else _number(offer.minimum_order.number, requirement.unit),
            "unit_cost": price_text(offer.cost, currency),
            "cost": money_text(packs.cost, currency),
            "lead_time_days": offer.lead_time_days,
            "needed_by": _iso(by),
            "order_by": _iso(order_by),
            "late": order_by is not None and order_by < self.day,
            "note": note,
        }

    def _without_supplier(self, requirement: _Requirement) -> Json:
        bought = sum((each.length * each.count for each in requirement.reels), requirement.short)
        needed_by = requirement.by if QUOTES in requirement.reasons else None
        return {
            **self._head(requirement),
            "to_buy": _number(bought if requirement.unit == "m" else requirement.needed, requirement.unit),
            "reels": [{"metres": _metres(each.length), "count": each.count} for each in requirement.reels],
            "needed_by": _iso(needed_by),
        }

    def _head(self, requirement: _Requirement) -> Json:
        return {
            "sku": requirement.sku, "name": requirement.name, "unit": requirement.unit, "reasons": requirement.reasons, "needed": _number(requirement.needed, requirement.unit),
            "off_shelf": _metres(requirement.off_shelf) if requirement.unit == "m" else None, "quotes": requirement.quotes,
        }  # fmt: skip

    def _no_place(self, pieces: NoPlace, need: WireNeed) -> Json:
        message = _UNKNOWN_WIRE if pieces.reason == "unknown_wire" else self.voice.phrase(why(pieces.reason))
        return {
            "sku": need.sku, "quote": pieces.quote, "label": pieces.label, "length": {"mm": str(pieces.length)}, "quantity": pieces.quantity,
            "reason": pieces.reason, "message": message,
        }  # fmt: skip

    def _left_out(self, pieces: LeftOut) -> Json:
        row = {"quote": pieces.quote, "label": pieces.tag, "quantity": pieces.quantity, "reason": pieces.reason}
        return {**row, "message": self.voice.phrase(left_out_words(row))}


def _order(supplier: str, lines: list[Json], currency: str) -> Json:
    days = [each["order_by"] for each in lines if each["order_by"] is not None]
    return {
        "supplier": supplier,
        "cost": money_text(sum((Decimal(each["cost"]) for each in lines), ZERO), currency),
        "order_by": min(days, default=None),
        "lines": sorted(lines, key=lambda each: (each["sku"], each["order_number"])),
    }


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _metres(value: Decimal) -> str:
    return f"{value:.3f}"


def _number(value: Decimal, unit: str) -> str:
    return _metres(value) if unit == "m" else f"{value:.0f}"
