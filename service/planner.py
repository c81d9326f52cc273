"""Cutting plans on the tables in force: the first rung in every quote, the whole ladder for a plan asked for."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from pricing.assembly import QuoteRequest
from pricing.bench.order import PlanOrder, plan_pieces, plan_together
from pricing.cutting import Limits
from pricing.money import minor_unit
from pricing.quote import Quoted, make_quote_and_plan

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Spool, StockRow
    from pricing.rates import PriceTable

Document = dict[str, Any]
Stock = tuple["StockRow", ...]


@dataclass(frozen=True, slots=True)
class Planner:
    """Catalogue and prices. `stock` is what lies on the shelf. `seconds`: the longest a plan may take; None: as long as its steps take."""

    catalogue: Catalogue
    prices: PriceTable
    seconds: float | None = None

    def quote(self, request: QuoteRequest, day: date, stock: Stock) -> Quoted:
        """A quote with its plan."""
        return make_quote_and_plan(request, self.catalogue, self.prices, day, stock)

    def pieces(self, order: PlanOrder, day: date, stock: Stock) -> Document:
        """A plan of typed lengths. Raises pricing.errors.RequestError."""
        return plan_pieces(order, self.catalogue, self.prices.at(day), stock, self._limits(order))

    def together(self, order: PlanOrder, documents: Sequence[Mapping[str, Any]], day: date, stock: Stock) -> Document:
        """A plan of many quotes. Raises pricing.errors.RequestError."""
        return plan_together(order, documents, self.catalogue, self.prices.at(day), stock, self._limits(order))

    def spools(self, day: date) -> tuple[Spool, ...]:
        """The spools that can be bought."""
        return self.prices.at(day).spools

    def digits(self, day: date) -> int:
        """Decimals of the shop's currency."""
        return minor_unit(self.prices.at(day).terms.currency)

    def _limits(self, order: PlanOrder) -> Limits:
        return Limits(first_rung_only=order.effort == "first_rung", seconds=self.seconds, clock=time.monotonic)
