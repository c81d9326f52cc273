"""What cannot be sold is refused by name before anything is priced."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.costing.rates import Rates
from pricing.costing.rules import Demand, Order, Ship, price
from pricing.errors import QuantityError

from .shop import demand

D = Decimal


def retail(*demands: Demand) -> Order:
    return Order(demands, "retail")


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (demand("wire", "0"), "not_positive"),
        (demand("wire", "-1"), "not_positive"),
        (demand("wire", "0.0004"), "not_positive"),
        (demand("wire", "NaN"), "not_a_quantity"),
        (demand("wire", "Infinity"), "not_a_quantity"),
        (demand("wire", "1E+12"), "not_a_quantity"),
        (demand("wire", "1", scrap_percent=D("NaN")), "waste"),
        (demand("terminal", "0"), "not_positive"),
        (demand("terminal", "1.5"), "part_of_a_piece"),
        (demand("terminal", "1", cuts=1), "waste"),
        (demand("wire", "1", cuts=-1), "waste"),
        (demand("wire", "1", scrap_percent=D("100.1")), "waste"),
        (demand("wire", "1", group="rope"), "unknown_unit"),
        (demand("wire", "1", unit="ft"), "unknown_unit"),
        (demand("wire", "1", unit="each"), "unit"),
    ],
)
def test_a_quantity_that_cannot_be_sold_is_refused_with_its_article(rates: Rates, asked: Demand, code: str) -> None:
    with pytest.raises(QuantityError, match=asked.sku) as refused:
        price(retail(asked), rates)
    assert refused.value.code == code


@pytest.mark.parametrize("sent", [Ship(D(-1), D(1)), Ship(D("NaN"), D(1)), Ship(D(1), D("Infinity"))])
def test_an_impossible_weight_or_coil_is_refused(rates: Rates, sent: Ship) -> None:
    with pytest.raises(QuantityError, match="zero or more"):
        price(Order((demand("wire", "1"),), "retail", sent), rates)


def test_an_article_given_twice_is_refused_since_its_price_break_would_be_missed(rates: Rates) -> None:
    with pytest.raises(QuantityError, match="W5 stands twice"):
        price(retail(demand("wire", "30"), demand("wire", "30")), rates)
