"""Invented offers of invented suppliers, small enough to compute by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from pricing.purchasing.suppliers import Suppliers
from pricing.rows import Amount, Purchase, Term

D = Decimal
NEW_YEAR, SUMMER, TODAY = date(2026, 1, 1), date(2026, 6, 1), date(2026, 11, 25)
SOURCE = "invented test data"
EUROS = (Term("currency", "EUR", "", NEW_YEAR, SOURCE),)


def pieces(many: int) -> Amount:
    return Amount(D(many), "each")


def metres(length: str) -> Amount:
    return Amount(D(length), "m")


def offer(sku: str, supplier: str, number: str, pack: Amount, cost: str, **more: Any) -> Purchase:
    """A row of purchases.csv: ten days, from the new year on, by a supplier not marked as preferred, unless given."""
    usual: dict[str, Any] = {
        "lead_time_days": 10, "currency": None, "from_day": NEW_YEAR, "until": None, "minimum_order": None, "preferred": "no", "reorder_below": None,
        "source": SOURCE,
    }  # fmt: skip
    return Purchase(sku=sku, supplier=supplier, order_number=number, pack_size=pack, cost=D(cost), **{**usual, **more})


def suppliers(*offers: Purchase, terms: tuple[Term, ...] = EUROS) -> Suppliers:
    return Suppliers.of(offers, terms)
