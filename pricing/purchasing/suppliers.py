"""Suppliers: who sells an article on a day, in which packs and at what cost."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from pricing.money import extension

if TYPE_CHECKING:
    from pricing.rows import Purchase, Term

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Packs:
    """Whole packs of one offer; `cost` is their total, rounded once to the currency's minor unit."""

    offer: Purchase
    count: int
    cost: Decimal

    @property
    def quantity(self) -> Decimal:
        """Metres or pieces in all."""
        return self.count * self.offer.pack_size.number


@dataclass(frozen=True, slots=True, eq=False)
class Suppliers:
    """The rows of purchases.csv by article, and the shop's currency by day (from its terms).

    A cost in a currency that the shop no longer has does not count: nothing is converted.
    """

    _offers: dict[str, tuple[Purchase, ...]]
    _currencies: tuple[tuple[date, str], ...]

    @classmethod
    def of(cls, rows: Iterable[Purchase], terms: Iterable[Term]) -> Suppliers:
        """From the tables' rows."""
        offers_by_sku: dict[str, list[Purchase]] = {}
        for row in rows:
            offers_by_sku.setdefault(row.sku, []).append(row)
        currencies = sorted((row.from_day, row.value) for row in terms if row.key == "currency")
        return cls({sku: tuple(offers) for sku, offers in offers_by_sku.items()}, tuple(currencies))

    def currency(self, day: date) -> str:
        """The shop's currency on a day; before the first currency term takes effect, that first currency."""
        held = self._currencies[0][1]
        for since, code in self._currencies:
            if since <= day:
                held = code
        return held

    def offers(self, sku: str, day: date) -> tuple[Purchase, ...]:
        """The rows in force on a day: for each supplier and order number the newest, unless it has ended."""
        newest: dict[tuple[str, str], Purchase] = {}
        for row in self._offers.get(sku, ()):
            key = row.supplier, row.order_number
            if row.from_day <= day and (key not in newest or newest[key].from_day < row.from_day):
                newest[key] = row
        currency = self.currency(day)
        return tuple(
            row
            for row in newest.values()
            if (row.until is None or day <= row.until) and (row.currency or self.currency(row.from_day)) == currency
        )

    def preferred(self, sku: str, day: date) -> tuple[Purchase, ...]:
        """The offers of the supplier to order from: the one marked preferred, else the only one; empty if that is undecided."""
        offers = self.offers(sku, day)
        marked = tuple(row for row in offers if row.preferred == "yes")
        return marked or (offers if len({row.supplier for row in offers}) == 1 else ())

    def costed(self, sku: str, day: date) -> Purchase | None:
        """The offer that sets the article's cost on a day; None if there is no supplier to order from.

        Of several packs it is the dearest per metre or piece, since the pack used is not known beforehand.
        """
        return max(self.preferred(sku, day), key=lambda row: row.cost, default=None)

    def reorder_below(self, sku: str, day: date) -> Decimal | None:
        """Metres of a wire below which more is ordered; None if the shop names none."""
        return next((row.reorder_below.number for row in self.offers(sku, day) if row.reorder_below is not None), None)

    def watched(self, day: date) -> tuple[str, ...]:
        """The wires that are reordered when little is left, in table order."""
        return tuple(sku for sku in self._offers if self.reorder_below(sku, day) is not None)

    def packs(self, offer: Purchase, needed: Decimal, day: date) -> Packs:
        """The fewest whole packs that hold what is needed and meet the supplier's minimum order."""
        least = offer.minimum_order.number if offer.minimum_order is not None else Decimal(0)
        count = whole_packs(max(needed, least), offer.pack_size.number)
        return Packs(offer, count, extension(count * offer.pack_size.number, offer.cost, ONE, self.currency(day)))

    def cheapest(self, offers: Sequence[Purchase], needed: Decimal, day: date) -> Packs | None:
        """The packs that hold what is needed at the least total cost; ties go to the smaller quantity. None without offers."""
        choices = [self.packs(offer, needed, day) for offer in offers]
        return min(choices, key=lambda packs: (packs.cost, packs.quantity), default=None)


def whole_packs(needed: Decimal, pack: Decimal) -> int:
    """The number of packs that hold what is needed."""
    return int((needed / pack).to_integral_value(ROUND_CEILING))
