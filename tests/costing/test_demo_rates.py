"""The demo shop's tables give rates for every article, list and group on every day from which they claim to apply."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.catalogue.lookup import Tables
from pricing.costing.rates import PriceTable
from pricing.costing.rules import Demand, Order, price


@pytest.fixture(scope="module")
def tables() -> Tables:
    return load_catalogue(DEMO_FOLDER).tables


@pytest.fixture(scope="module")
def table(tables: Tables) -> PriceTable:
    return PriceTable(tables.prices, tables.price_lists, tables.tax, tables.freight, tables.terms)


def test_every_price_row_is_what_its_own_day_and_quantity_come_to(tables: Tables, table: PriceTable) -> None:
    for row in tables.prices:
        assert table.at(row.from_day).price(row.sku, max(row.from_quantity, Decimal(1))).from_day == row.from_day
        if row.from_quantity >= 1:
            assert table.at(row.from_day).price(row.sku, row.from_quantity) is row


def test_terms_taxes_and_price_lists_are_in_force_on_the_last_day_of_prices(tables: Tables, table: PriceTable) -> None:
    rates = table.at(max(row.from_day for row in tables.prices))
    assert rates.terms.minimum_order > 0
    assert {"retail", "trade", "fleet"} <= set(rates.price_lists())
    assert all(rates.tax(group) for group in ("wire", "fitting", "labour", "waste", "freight", "order"))


def test_one_of_everything_is_priced_and_adds_up(tables: Tables, table: PriceTable) -> None:
    rates = table.at(max(row.from_day for row in tables.prices))
    units = {row.sku: row.unit for row in tables.prices}
    demands = tuple(
        Demand(sku=sku, name=sku, group="wire" if unit == "m" else "fitting", quantity=Decimal(1), unit=unit) for sku, unit in units.items()
    )
    priced = price(Order(demands, "trade"), rates)
    assert priced.totals.lines == sum(row.net for row in priced.lines)
    assert {row.sku for row in priced.lines} == set(units)
