"""Priced documents worked out by hand from the rows in shop.py, rule by rule, and what must hold for every order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from pricing.costing.rates import PriceTable, Rates
from pricing.costing.rules import RULES, Demand, Order, Priced, Sheet, Ship, minimum_order, price
from pricing.errors import NoPrice, RequestError
from pricing.values import Length, Number

from .shop import JULY, build, demand, terms_with

D = Decimal


def retail(*demands: Demand) -> Order:
    return Order(demands, "retail")


def wire(quantity: str, cuts: int = 0, scrap: str | None = "0") -> Demand:
    return demand("wire", quantity, cuts=cuts, scrap_percent=None if scrap is None else D(scrap))


def test_a_trade_order_with_every_rule_comes_to_the_hand_computed_document(rates: Rates) -> None:
    # wire   12.3456 m -> 12.346 m x 4.00 = 49.384 -> 49.38, 10 % = 4.938 -> 4.94, net 44.44
    # fitting    4 x 18.50 = 74.00, 7.5 % = 5.55, net 68.45          labour  4 x 9.25 = 37.00, nothing off
    # cuts       2 x 25 mm = 0.050 m x 4.00 = 0.20, 10 % = 0.02, net 0.18
    # scrap      4 % of 12.346 m = 0.49384 -> 0.494 m x 4.00 = 1.976 -> 1.98, 10 % = 0.198 -> 0.20, net 1.78
    # lines 151.85; freight 12.00; 20 % of 126.85 = 25.37; 9 % of 37.00 = 3.33; payable 163.85 + 28.70 = 192.55
    order = Order((wire("12.3456", 2, None), demand("terminal", "4"), demand("swage", "4")), "trade", Ship(D(4), D(500)))
    priced = price(order, rates)
    assert [(row.rule, row.group, str(row.quantity), str(row.amount), str(row.net)) for row in priced.lines] == [
        ("articles", "wire", "12.346", "49.38", "44.44"),
        ("articles", "fitting", "4", "74.00", "68.45"),
        ("articles", "labour", "4", "37.00", "37.00"),
        ("cut_allowance", "waste", "0.050", "0.20", "0.18"),
        ("scrap", "waste", "0.494", "1.98", "1.78"),
    ]
    assert [(charge.rule, str(charge.amount)) for charge in priced.charges] == [("freight", "12.00")]
    totals = priced.totals
    assert (totals.lines, totals.charges, totals.tax_exclusive) == (D("151.85"), D(12), D("163.85"))
    assert [(share.rate, share.taxable, share.amount) for share in totals.tax] == [
        (D(20), D("126.85"), D("25.37")),
        (D(9), D(37), D("3.33")),
    ]
    assert (totals.tax_inclusive, totals.payable) == (D("192.55"), D("192.55"))


def test_waste_lines_give_the_metres_and_their_origin(rates: Rates) -> None:
    cuts, scrap = price(retail(wire("30", 12, "2.5")), rates).lines[1:]
    assert (cuts.name, cuts.note, cuts.sku) == ("Cut allowance, wire", "12 cuts of 25 mm: 0.300 m", "W5")
    assert (scrap.name, scrap.note, scrap.unit) == ("Scrap, wire", "2.5 % of 30.000 m: 0.750 m", "m")


def test_a_discount_is_a_visible_allowance_with_its_base_percent_and_code(rates: Rates) -> None:
    (off,) = price(Order((demand("terminal", "4"),), "trade"), rates).lines[0].adjustments
    assert (off.charge, off.reason, off.base_amount, off.percent, off.amount, off.code) == (
        False, "Price list trade", D("74.00"), D("7.5"), D("5.55"), "95",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("metres", "printed", "unit_price", "net"),
    [("49.9994", "49.999", "4.00", "200.00"), ("49.9995", "50.000", "3.60", "180.00"), ("100", "100.000", "3.20", "320.00")],
)
def test_the_break_is_looked_up_by_the_metres_that_the_line_prints(
    rates: Rates, metres: str, printed: str, unit_price: str, net: str
) -> None:
    # 49.999 x 4.00 = 199.996 -> 200.00; 50 x 3.60 = 180.00
    (line,) = price(retail(wire(metres)), rates).lines
    assert (str(line.quantity), line.net_price, line.net) == (printed, D(unit_price), D(net))


def test_waste_is_charged_at_the_price_of_the_wire_it_belongs_to(rates: Rates) -> None:
    # 60 m are at 3.60; 2.4 m of scrap alone would be at 4.00. 2.4 x 3.60 = 8.64
    line, scrap = price(retail(wire("60", scrap=None)), rates).lines
    assert (line.net_price, scrap.net_price, scrap.quantity, scrap.net) == (D("3.60"), D("3.60"), D("2.400"), D("8.64"))


def test_a_day_later_the_new_price_counts(table: PriceTable) -> None:
    nets = [price(retail(wire("60")), table.at(day)).totals.lines for day in (date(2026, 6, 30), JULY)]
    assert nets == [D("216.00"), D("252.00")]  # 60 x 3.60, 60 x 4.20


@pytest.mark.parametrize(("metres", "missing"), [("14.997", "0.01"), ("15", None), ("15.01", None), ("1", "56.00")])
def test_a_small_order_pays_the_difference_to_the_minimum(rates: Rates, metres: str, missing: str | None) -> None:
    # 14.997 x 4.00 = 59.988 -> 59.99, a cent short of 60.00
    priced = price(retail(wire(metres)), rates)
    assert [(row.rule, row.amount) for row in priced.charges] == ([("minimum_order", D(missing))] if missing else [])
    assert priced.totals.tax_exclusive == max(D(60), priced.totals.lines)


def test_the_minimum_is_held_against_the_lines_after_their_discount(rates: Rates) -> None:
    # 16 x 4.00 = 64.00, 10 % off: 57.60, so 2.40 are missing
    priced = price(Order((wire("16"),), "trade"), rates)
    assert [row.amount for row in priced.charges] == [D("2.40")]


def test_freight_does_not_count_toward_the_minimum_order(rates: Rates) -> None:
    # 2 x 18.50 = 37.00; 23.00 missing; freight 20.00 besides; 20 % of 80.00; payable 96.00
    priced = price(Order((demand("terminal", "2"),), "retail", Ship(D(6), D(300))), rates)
    assert [(row.rule, row.amount, row.code) for row in priced.charges] == [("freight", D(20), "FC"), ("minimum_order", D(23), "AEL")]
    assert priced.totals.payable == D("96.00")


def test_freight_that_no_row_takes_is_a_finding_and_not_a_price(rates: Rates) -> None:
    priced = price(Order((demand("terminal", "4"),), "retail", Ship(D("30.5"), D(300))), rates)
    assert priced.charges == ()
    assert [(found.code, found.severity) for found in priced.findings] == [("freight-not-listed", "ask")]
    assert dict(priced.findings[0].values) == {"weight": Number(D("30.50")), "coil": Length(D(300))}


def test_an_order_without_lines_comes_to_zero_without_any_charge(rates: Rates) -> None:
    priced = price(Order((), "retail", Ship(D(0), D(0))), rates)
    assert (priced.lines, priced.charges, priced.findings, priced.totals.tax) == ((), (), (), ())
    assert (str(priced.totals.payable), priced.currency, priced.priced_on) == ("0.00", "EUR", rates.day)


def test_all_articles_without_a_price_are_named_at_once(rates: Rates) -> None:
    unknown = [structs.replace(demand("terminal", "1"), sku=sku) for sku in ("X1", "X2")]
    with pytest.raises(NoPrice, match="X1, X2 on 2026-03-01"):
        price(retail(unknown[0], wire("1"), unknown[1]), rates)


def test_an_unknown_price_list_is_refused_even_when_nothing_is_sold(rates: Rates) -> None:
    with pytest.raises(RequestError, match="retail, trade"):
        price(Order((), "friends"), rates)


def test_a_rule_is_taken_out_or_added_in_one_place(rates: Rates) -> None:
    def tag(_: Order, sheet: Sheet) -> None:
        sheet.add_charge("tag", "order", D("2.345"), "Tag", "ABK")

    rules = (*(rule for rule in RULES if rule is not minimum_order), tag)
    priced = price(retail(wire("1")), rates, rules)
    assert [(row.rule, str(row.amount)) for row in priced.charges] == [("tag", "2.35")]


@pytest.mark.parametrize(
    ("currency", "minimum", "amounts"),
    [
        ("JPY", "60", ["18", "42", "12", "72"]),  # 4.4 m x 4.00 = 17.6 -> 18; 60 - 18 = 42; 20 % of 60
        ("KWD", "60", ["17.600", "42.400", "12.000", "72.000"]),
    ],
)
def test_documents_in_other_minor_units_derived(currency: str, minimum: str, amounts: list[str]) -> None:
    # Derived by hand, no published example.
    table = build(terms=terms_with(currency=(currency, ""), minimum_order=(minimum, "")))
    totals = price(retail(wire("4.4")), table.at(date(2026, 3, 1))).totals
    assert [str(n) for n in (totals.lines, totals.charges, totals.tax_amount, totals.payable)] == amounts


WIRES = st.builds(
    wire, st.decimals(D("0.01"), 300, places=4).map(str), st.integers(0, 40), st.none() | st.decimals(0, 20, places=2).map(str)
)
COUNTS = st.integers(1, 60).map(str)
SENT = st.builds(Ship, st.decimals(0, 40, places=2), st.decimals(0, 1300, places=1))
ORDERS = st.builds(
    lambda w, t, s, name, sent: Order((w, demand("terminal", t), demand("swage", s)), name, sent),
    WIRES, COUNTS, COUNTS, st.sampled_from(["retail", "trade"]), SENT,
)  # fmt: skip


def shares(priced: Priced) -> list[tuple[str, Decimal, Decimal, Decimal]]:
    return sorted((share.category, share.rate, share.taxable, share.amount) for share in priced.totals.tax)


@given(order=ORDERS)
def test_every_document_adds_up_from_its_own_printed_lines(rates: Rates, order: Order) -> None:
    priced = price(order, rates)
    half = D("0.005")
    for row in priced.lines:
        assert abs(row.amount - row.quantity * row.net_price) <= half
        assert row.net == row.amount - sum(off.amount for off in row.adjustments)
        assert all(off.base_amount == row.amount for off in row.adjustments)
    net = sum(row.net for row in priced.lines) + sum(row.amount for row in priced.charges)
    assert priced.totals.tax_exclusive == net
    assert priced.totals.payable == net + sum(share.amount for share in priced.totals.tax)
    assert priced.totals.tax_exclusive >= rates.terms.minimum_order


@given(order=ORDERS)
def test_the_same_order_is_priced_alike_again_and_in_any_order_of_its_articles(rates: Rates, order: Order) -> None:
    priced = price(order, rates)
    assert price(order, rates) == priced
    turned = price(replace(order, demands=order.demands[::-1]), rates)
    assert turned.totals.payable == priced.totals.payable
    assert shares(turned) == shares(priced)
