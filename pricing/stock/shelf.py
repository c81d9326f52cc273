"""The stock to cut from, and the shop's cutting terms, as input to the planner."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from pricing.costing.terms import Terms
from pricing.cutting import Policy, Source, Stock
from pricing.money import minor_unit
from pricing.rows import Spool, StockRow, Wire

TENTH = Decimal("0.1")
UNRETURNABLE = Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Shelf:
    """The wire in stock, and the spools that can be bought.

    Lengths are rounded down to 0.1 mm, so that nothing is planned longer than it is.
    """

    rows: tuple[StockRow, ...]
    spools: tuple[Spool, ...]

    def of(self, sku: str, terms: Terms) -> tuple[Stock, ...]:
        """All stock of one wire: what is on the shelf, and spools to be bought."""
        return (*(_stock(row, terms) for row in self.rows if row.wire == sku), *self.bought(sku, terms))

    def bought(self, sku: str, terms: Terms) -> tuple[Stock, ...]:
        """Only spools to be bought, in any number."""
        touch = _opening(terms)
        return tuple(
            Stock(row.id, downward(row.length), Source.NEW, price=row.price, count=None, touch=touch)
            for row in self.spools
            if row.wire == sku
        )

    def for_quote(self, wire: Wire, terms: Terms) -> tuple[Stock, ...]:
        """The stock a quote is planned on. Wire bought for the job is bought new, so that the price does not depend on the day's stock."""
        return self.of(wire.sku, terms) if wire.bought == "for_stock" else self.bought(wire.sku, terms)


def _stock(row: StockRow, terms: Terms) -> Stock:
    source = Source(row.kind)
    touch = _opening(terms) if row.touch is None and source is Source.NEW else row.touch
    return Stock(row.id, downward(row.length), source, row.price, row.price_per_metre, row.count, touch)


def _opening(terms: Terms) -> Decimal:
    """The cost of taking up an unopened spool."""
    return terms.touch_cost + terms.opening_cost


def policy(terms: Terms, *, for_the_job: bool = False) -> Policy:
    """The shop's cutting terms; the remnant of wire bought for the job is worth nothing to it."""
    usual = Policy(
        allowance=upward(terms.cut_allowance),
        least_remnant=upward(terms.minimum_remnant),
        touch=terms.touch_cost,
        remnant_fee=terms.remnant_fee,
        minor_digits=minor_unit(terms.currency),
    )
    return replace(usual, remnant_fee=UNRETURNABLE) if for_the_job else usual


def upward(length: Decimal) -> Decimal:
    """Round up to 0.1 mm."""
    return length.quantize(TENTH, ROUND_CEILING)


def downward(length: Decimal) -> Decimal:
    """Round down to 0.1 mm."""
    return length.quantize(TENTH, ROUND_FLOOR)
