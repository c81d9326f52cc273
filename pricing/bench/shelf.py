"""What there is to cut from, and the shop's terms for cutting it, as the planner takes them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from pricing.catalogue.rows import Spool, StockRow, Wire
from pricing.cutting import Policy, Source, Stock
from pricing.money import minor_unit
from pricing.terms import Terms

TENTH = Decimal("0.1")
UNRETURNABLE = Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Shelf:
    """What lies there, and the spools that can be bought besides. Planning sees nothing as longer than it is: rounded down to 0.1 mm."""

    rows: tuple[StockRow, ...]
    spools: tuple[Spool, ...]

    def of(self, sku: str, terms: Terms) -> tuple[Stock, ...]:
        """Everything of one wire: what is on the shelf, and spools to be bought."""
        return (*(_stock(row, terms) for row in self.rows if row.wire == sku), *self.bought(sku, terms))

    def bought(self, sku: str, terms: Terms) -> tuple[Stock, ...]:
        """Spools to be bought alone, as many as wanted."""
        touch = _opening(terms)
        return tuple(
            Stock(row.id, downward(row.length), Source.NEW, price=row.price, count=None, touch=touch)
            for row in self.spools
            if row.wire == sku
        )

    def for_quote(self, wire: Wire, terms: Terms) -> tuple[Stock, ...]:
        """What a quote is planned on. Wire bought for the job comes new: what its customer pays does not depend on the day's shelf."""
        return self.of(wire.sku, terms) if wire.bought == "for_stock" else self.bought(wire.sku, terms)


def _stock(row: StockRow, terms: Terms) -> Stock:
    source = Source(row.kind)
    touch = _opening(terms) if row.touch is None and source is Source.NEW else row.touch
    return Stock(row.id, downward(row.length), source, row.price, row.price_per_metre, row.count, touch)


def _opening(terms: Terms) -> Decimal:
    """What it costs to take up a spool that nothing was cut from yet."""
    return terms.touch_cost + terms.opening_cost


def policy(terms: Terms, *, for_the_job: bool = False) -> Policy:
    """The shop's terms; what is left of wire bought for the job is worth nothing to it."""
    usual = Policy(
        allowance=upward(terms.cut_allowance),
        least_rest=upward(terms.least_rest),
        touch=terms.touch_cost,
        rest_fee=terms.rest_fee,
        minor_digits=minor_unit(terms.currency),
    )
    return replace(usual, rest_fee=UNRETURNABLE) if for_the_job else usual


def upward(length: Decimal) -> Decimal:
    """To 0.1 mm, never less."""
    return length.quantize(TENTH, ROUND_CEILING)


def downward(length: Decimal) -> Decimal:
    """To 0.1 mm, never more."""
    return length.quantize(TENTH, ROUND_FLOOR)
