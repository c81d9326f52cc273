"""Dated rates: boundaries of days and quantities, what is refused. Expected values are read off the rows in shop.py by eye."""

from __future__ import annotations

import pickle
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.costing.rates import PriceTable, Rates
from pricing.errors import NoPrice, RequestError, TableError
from pricing.rows import Freight, Price, Tax

from .shop import FREIGHT, JULY, NEW_YEAR, PRICES, SOURCE, TAX, build

D = Decimal
EVE_OF_JULY = date(2026, 6, 30)


@pytest.mark.parametrize(
    ("quantity", "unit_price"),
    [("0.001", "4.00"), ("49.999", "4.00"), ("50", "3.60"), ("99.999", "3.60"), ("100", "3.20"), ("100000", "3.20")],
)
def test_a_break_counts_from_its_quantity_on(rates: Rates, quantity: str, unit_price: str) -> None:
    assert rates.unit_price("W5", D(quantity)) == D(unit_price)


@pytest.mark.parametrize(("day", "unit_price"), [(NEW_YEAR, "3.60"), (EVE_OF_JULY, "3.60"), (JULY, "4.20"), (date(2031, 1, 1), "4.20")])
def test_a_new_day_replaces_the_whole_ladder_of_its_article_from_that_day_on(table: PriceTable, day: date, unit_price: str) -> None:
    assert table.at(day).unit_price("W5", D(60)) == D(unit_price)
    assert table.at(day).unit_price("T5", D(1)) == D("18.50")  # no row of July: the old one stays


def test_the_row_that_prices_comes_with_its_unit_and_source(rates: Rates) -> None:
    row = rates.price("T5", D(10))
    assert (row.unit, row.unit_price, row.from_quantity, row.source) == ("each", D("16.65"), D(10), SOURCE)


def test_a_day_before_any_price_is_refused_by_its_date(table: PriceTable) -> None:
    with pytest.raises(NoPrice, match="W5 on 2025-12-31") as refused:
        table.at(date(2025, 12, 31)).unit_price("W5", D(1))
    assert (refused.value.sku, refused.value.day) == ("W5", "2025-12-31")


def test_an_unknown_article_and_a_quantity_below_the_first_step_have_no_price(rates: Rates) -> None:
    with pytest.raises(NoPrice, match="X9"):
        rates.price("X9", D(1))
    with pytest.raises(NoPrice, match="T5"):
        rates.price("T5", D("0.5"))


@given(quantity=st.decimals(D("0.001"), 200, places=3), days=st.integers(0, 400))
def test_look_ups_agree_with_a_plain_search_of_the_rows(table: PriceTable, quantity: Decimal, days: int) -> None:
    day = NEW_YEAR + timedelta(days)
    known = [row for row in PRICES if row.sku == "W5" and row.from_day <= day]
    newest = max(row.from_day for row in known)
    expected = max((row for row in known if row.from_day == newest and row.from_quantity <= quantity), key=lambda row: row.from_quantity)
    assert table.at(day).price("W5", quantity) is expected


def test_the_order_of_the_rows_does_not_matter(table: PriceTable) -> None:
    turned = build(prices=PRICES[::-1], freight=FREIGHT[::-1], tax=TAX[::-1])
    for day in (NEW_YEAR, EVE_OF_JULY, JULY):
        assert turned.at(day) == table.at(day)


def test_price_lists_come_into_force_by_day(table: PriceTable) -> None:
    assert table.at(EVE_OF_JULY).price_lists() == ("retail", "trade")
    assert table.at(JULY).price_lists() == ("fleet", "retail", "trade")


def test_a_discount_is_that_of_the_list_and_group_and_zero_for_a_group_not_named(rates: Rates) -> None:
    assert [rates.discount_percent("trade", group) for group in ("wire", "fitting", "labour")] == [10, D("7.5"), 0]


def test_an_unknown_price_list_is_refused_with_the_known_ones(rates: Rates) -> None:
    with pytest.raises(RequestError, match="retail, trade") as refused:
        rates.discount_percent("fleet", "wire")
    assert refused.value.faults[0][:2] == ("/price_list", "unknown_price_list")


def test_tax_is_by_group_and_day() -> None:
    table = build(tax=(*TAX, Tax("wire", "E", JULY, D(0), SOURCE)))
    assert table.at(EVE_OF_JULY).tax("wire") == ("S", D(20))
    assert table.at(JULY).tax("wire") == ("E", D(0))
    with pytest.raises(NoPrice, match="tax:wire on 2025-12-31"):
        table.at(date(2025, 12, 31)).tax("wire")


@pytest.mark.parametrize(
    ("weight", "coil", "price"),
    [("5", "600", "12.00"), ("5.001", "600", "20.00"), ("4", "600.1", "35.50"), ("30", "1200", "35.50"), ("30.001", "10", None), ("1", "1201", None)],
)  # fmt: skip
def test_freight_is_the_cheapest_that_takes_weight_and_coil(rates: Rates, weight: str, coil: str, price: str | None) -> None:
    row = rates.freight(D(weight), D(coil))
    assert (row.price if row else None) == (D(price) if price else None)


def test_a_new_freight_tariff_replaces_the_old_one_as_a_whole(table: PriceTable) -> None:
    row = table.at(JULY).freight(D(1), D(100))
    assert row == Freight(D(30), D(1200), D("40.00"), JULY, SOURCE)


def test_rates_of_a_day_are_kept_and_the_number_of_days_kept_is_bounded() -> None:
    table = build()
    assert table.at(JULY) is table.at(JULY)
    for days in range(500):
        table.at(NEW_YEAR + timedelta(days))
    assert len(table._days) <= 64


def test_a_table_survives_pickling(table: PriceTable) -> None:
    copy = pickle.loads(pickle.dumps(table))  # noqa: S301  our own bytes
    assert copy == table
    assert copy.at(JULY) == table.at(JULY)


@pytest.mark.parametrize(
    ("extra", "column"),
    [
        ((replace(PRICES[0], unit_price=D(9)),), "from_quantity"),
        ((replace(PRICES[1], unit="each", from_quantity=D(70)),), "unit"),
        ((Price("N1", "m", NEW_YEAR, D(1), D(1), SOURCE),), "from_quantity"),
        ((Price("N2", "each", NEW_YEAR, D(2), D(1), SOURCE),), "from_quantity"),
    ],
    ids=["a step twice", "two units", "a metre to start with", "two pieces to start with"],
)
def test_a_ladder_that_leaves_a_purchase_in_doubt_is_refused(extra: tuple[Price, ...], column: str) -> None:
    with pytest.raises(TableError) as refused:
        build(prices=PRICES + extra)
    assert [(fault.file, fault.column) for fault in refused.value.faults] == [("prices.csv", column)]


def test_faults_of_all_tables_are_listed_at_once() -> None:
    with pytest.raises(TableError) as refused:
        build(prices=(*PRICES, PRICES[0]), tax=(*TAX, Tax("wire", "S", JULY, D(0), SOURCE)), terms=())
    assert {fault.file for fault in refused.value.faults} == {"prices.csv", "tax.csv", "terms.csv"}
