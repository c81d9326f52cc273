"""Lines and discounts by hand, worked out from the rows in shop.py by the arithmetic of EN 16931-1:2017, 6.4."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pricing.costing.rates import Rates
from pricing.costing.rules import Order, Ship, price
from pricing.errors import RequestError
from pricing.measurement.assembly import Discount, ExtraLine
from tests.costing.shop import TAX, build, demand
from tests.counts import some

D = Decimal
MAST = ExtraLine("Mast off and on", D("2.5"), D("78.00"), "S", D(9), "hour")
LISTED = (demand("terminal", "4"), demand("swage", "4"))  # 4 x 18.50 = 74.00 at 20 %, 4 x 9.25 = 37.00 at 9 %


def order(*lines: ExtraLine, off: Discount | None = None, delivery: Ship | None = None) -> Order:
    made = Order(LISTED, "retail", extra_lines=lines, discount=off)
    return replace(made, delivery=delivery) if delivery else made


def test_a_line_by_hand_and_a_percentage_off_come_to_the_hand_computed_document(rates: Rates) -> None:
    # mast 2.5 h x 78.00 = 195.00 at 9 %; lines 74.00 + 37.00 + 195.00 = 306.00
    # 10 % of 74.00 = 7.40 at 20 %; 10 % of 232.00 = 23.20 at 9 %; off 30.60; freight 12.00 at 20 %, of which nothing is taken off
    # before tax 306.00 - 30.60 + 12.00 = 287.40; 20 % of (74.00 - 7.40 + 12.00 = 78.60) = 15.72; 9 % of 208.80 = 18.792 -> 18.79
    # payable 287.40 + 34.51 = 321.91
    priced = price(order(MAST, off=Discount("Winter", percent=D(10)), delivery=Ship(D(4), D(500))), rates)
    by_hand = priced.lines[-1]
    assert (by_hand.name, by_hand.sku, by_hand.group, by_hand.unit, by_hand.net) == ("Mast off and on", "", "extra", "hour", D("195.00"))
    assert [(str(each.percent), str(each.base_amount), str(each.amount), str(each.rate)) for each in priced.allowances] == [
        ("10", "74.00", "7.40", "20"), ("10", "232.00", "23.20", "9"),
    ]  # fmt: skip
    totals = priced.totals
    assert (totals.lines, totals.allowances, totals.charges, totals.tax_exclusive) == (D("306.00"), D("30.60"), D("12.00"), D("287.40"))
    assert [(share.taxable, share.amount) for share in totals.tax] == [(D("78.60"), D("15.72")), (D("208.80"), D("18.79"))]
    assert totals.payable == D("321.91")


def test_an_amount_off_is_divided_in_proportion_to_what_is_taxed_alike(rates: Rates) -> None:
    # 50.00 x 74/306 = 12.0915..., 50.00 x 232/306 = 37.9084...: down to 12.09 and 37.90, and the cent left over to the larger remainder
    # 20 % of (74.00 - 12.09 = 61.91) = 12.382 -> 12.38; 9 % of (232.00 - 37.91 = 194.09) = 17.4681 -> 17.47; payable 256.00 + 29.85
    priced = price(order(MAST, off=Discount("Regular customer", amount=D(50))), rates)
    assert [(each.percent, each.base_amount, str(each.amount)) for each in priced.allowances] == [
        (None, None, "12.09"),
        (None, None, "37.91"),
    ]
    assert [str(share.amount) for share in priced.totals.tax] == ["12.38", "17.47"]
    assert (priced.totals.tax_exclusive, priced.totals.payable) == (D("256.00"), D("285.85"))


def test_all_of_the_lines_can_be_taken_off_and_not_a_cent_more(rates: Rates) -> None:
    free = price(order(off=Discount("On the house", amount=D("111.00"))), rates).totals
    assert (free.tax_exclusive, free.tax_amount, free.payable) == (0, 0, 0)
    assert price(order(off=Discount("On the house", percent=D(100))), rates).totals.payable == 0
    with pytest.raises(RequestError) as refused:
        price(order(off=Discount("On the house", amount=D("111.01"))), rates)
    ((pointer, code, words),) = refused.value.faults
    assert (pointer, code, "111.00 EUR" in words) == ("/discount/reduction", "more_than_the_lines", True)
    with pytest.raises(RequestError) as refused:
        price(order(off=Discount("Odd", amount=D("1.005"))), rates)
    assert [each[:2] for each in refused.value.faults] == [("/discount/reduction", "unrounded_amount")]


def test_a_discount_does_not_raise_the_charge_for_a_small_order(rates: Rates) -> None:
    # the lines come to 111.00, above the minimum of 60.00; after 60.00 off they are below it
    assert price(order(off=Discount("Winter", amount=D(60))), rates).charges == ()


def test_where_nothing_is_priced_added_articles_are_not_priced_either_and_that_is_reported(rates: Rates) -> None:
    for lines, off, at in (((MAST,), None, "/extra_lines"), ((), Discount("Winter", amount=D(5)), "/discount")):
        priced = price(Order((), "retail", extra_lines=lines, discount=off), rates)
        assert (priced.lines, priced.allowances, priced.totals.payable) == ((), (), 0)
        assert [(each.code, each.pointer) for each in priced.findings] == [("added-by-hand-not-priced", at)]


@pytest.mark.parametrize(
    ("category", "rate", "field"),
    [
        ("S", None, "tax_rate"), ("S", "7", "tax_rate"), ("S", "0", "tax_rate"), ("E", "9", "tax_rate"), ("L", None, "tax_category"), ("L", "20", "tax_category"),
        ("O", None, "tax_category"),
    ],
)  # fmt: skip
def test_a_tax_that_the_shop_does_not_charge_is_refused_at_its_place(rates: Rates, category: str, rate: str | None, field: str) -> None:
    wrong = replace(MAST, tax_category=category, tax_rate=None if rate is None else D(rate))
    with pytest.raises(RequestError) as refused:
        price(order(MAST, wrong), rates)
    assert [each[:2] for each in refused.value.faults] == [(f"/extra_lines/1/{field}", f"unknown_{field}")]


@pytest.mark.parametrize(
    ("category", "rate", "tax"),
    [("S", "20.0", "39.00"), ("S", "9", "17.55"), ("E", None, "0.00"), ("Z", "0", "0.00"), ("AE", None, "0.00")],
)
def test_a_line_has_the_tax_that_was_named(rates: Rates, category: str, rate: str | None, tax: str) -> None:
    # 195.00 at 20 % is 39.00, at 9 % 17.55
    line = replace(MAST, tax_category=category, tax_rate=None if rate is None else D(rate))
    with_it, without = price(order(line), rates).totals, price(order(), rates).totals
    assert with_it.tax_amount - without.tax_amount == D(tax)


def test_a_shop_outside_the_scope_of_tax_takes_that_category_alone(rates: Rates) -> None:
    untaxed = build(tax=tuple(replace(each, category="O", rate_percent=D(0)) for each in TAX)).at(rates.day)
    line = replace(MAST, tax_category="O", tax_rate=None)
    assert price(order(line), untaxed).totals.payable == D("306.00")
    with pytest.raises(RequestError):
        price(order(replace(line, tax_category="E")), untaxed)


@settings(max_examples=some(200), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    prices=st.lists(st.decimals(0, 5000, places=3), max_size=4),
    taxes=st.lists(st.sampled_from([("S", D(20)), ("S", D(9)), ("E", None)]), min_size=4, max_size=4),
    share=st.decimals(D("0.01"), 1, places=2),
    percent=st.decimals(D("0.01"), 100, places=2),
)
def test_whatever_is_added_the_parts_are_the_whole_and_no_total_is_negative(
    rates: Rates, prices: list[Decimal], taxes: list[tuple[str, Decimal | None]], share: Decimal, percent: Decimal
) -> None:
    lines = [ExtraLine(f"Item {place}", D(1), each, *taxes[place]) for place, each in enumerate(prices)]
    whole = price(order(*lines), rates).totals.lines
    amount = (whole * share).quantize(D("0.01"))
    for off in (Discount("Winter", amount=amount), Discount("Winter", percent=percent)):
        totals = price(order(*lines, off=off), rates).totals
        assert totals.allowances == amount or off.amount is None
        assert totals.tax_exclusive == whole - totals.allowances >= 0
        assert all(each.taxable >= 0 and each.amount >= 0 for each in totals.tax)
