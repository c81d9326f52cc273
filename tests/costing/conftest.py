"""The invented shop of shop.py, as fixtures."""

from __future__ import annotations

from datetime import date

import pytest

from pricing.costing.rates import PriceTable, Rates

from .shop import build


@pytest.fixture(scope="session")
def table() -> PriceTable:
    """The shop's table."""
    return build()


@pytest.fixture(scope="session")
def rates(table: PriceTable) -> Rates:
    """The shop's rates in March."""
    return table.at(date(2026, 3, 1))
