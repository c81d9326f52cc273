"""Cutting plans on the tables in force: the first rung of the ladder for a quote's own plan, the whole ladder for a requested plan."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from pricing.cutting import Limits
from pricing.money import minor_unit
from pricing.purchasing.wire import WireNeed, wire_needs
from pricing.stock.pieces import QuoteToPlan
from pricing.stock.plan_order import PlanOrder, order_for, plan_pieces, plan_together
from pricing.stock.planning import FIRST_RUNG

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.rates import PriceTable
    from pricing.rows import Spool, StockRow

#: Share of the time limit after which the search stops. The rest, and a tenth beyond the limit, are for naming the cuts and writing the
#: plan, which take longer on a busy machine.
AIM = 0.9

Document = dict[str, Any]
Stock = tuple["StockRow", ...]


@dataclass(frozen=True, slots=True)
class Planner:
    """Catalogue and prices. `stock` is what is on the shelf. `seconds`: time limit for a plan; None: limited only by its steps."""

    catalogue: Catalogue
    prices: PriceTable
    seconds: float | None = None

    def pieces(self, order: PlanOrder, day: date, stock: Stock) -> Document:
        """A plan for lengths typed in by hand. Raises pricing.errors.RequestError."""
        return plan_pieces(order, self.catalogue, self.prices.at(day), stock, self._limits(order))

    def together(self, order: PlanOrder, quotes: Sequence[QuoteToPlan], day: date, stock: Stock) -> Document:
        """A plan for many quotes together. Raises pricing.errors.RequestError."""
        return plan_together(order, quotes, self.catalogue, self.prices.at(day), stock, self._limits(order))

    def of_quote(self, quote: QuoteToPlan, day: date, stock: Stock) -> Document:
        """A quote's own plan, without a clock: the same each time. Raises pricing.errors.RequestError."""
        return plan_together(order_for(quote), [quote], self.catalogue, self.prices.at(day), stock, FIRST_RUNG)

    def wire_needs(self, quotes: Sequence[QuoteToPlan], day: date, stock: Stock) -> tuple[WireNeed, ...]:
        """What many quotes take of each wire, by the planner's first rung. Raises pricing.errors.RequestError."""
        return wire_needs(quotes, self.catalogue, self.prices.at(day), stock, self._limits(PlanOrder(effort="fast")))

    def spools(self, day: date) -> tuple[Spool, ...]:
        """The spools that can be bought."""
        return self.prices.at(day).spools

    def digits(self, day: date) -> int:
        """The number of decimals of the shop's currency."""
        return minor_unit(self.prices.at(day).terms.currency)

    def _limits(self, order: PlanOrder) -> Limits:
        seconds = None if self.seconds is None else AIM * self.seconds
        return Limits(first_rung_only=order.effort == "fast", seconds=seconds, clock=time.monotonic)
