"""What a customer pays for waste: an allowance per cut and the wire's scrap rate, or a flat rate, or the whole remnant of wire bought for the job.

Amounts are worked by hand in the comments; the rules themselves are common practice, no source. Rounding is EN 16931's: each line once.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.costing.rates import Rates
from pricing.costing.rules import Order, price
from pricing.errors import QuantityError
from tests.costing.shop import JULY, build, demand, terms_with

D = Decimal


def waste(rates: Rates, **of_wire: object) -> list[tuple[str, str, str]]:
    """(rule, metres, amount) of the waste lines of 12 m of wire at 4.00."""
    lines = price(Order((demand("wire", "12", **of_wire),), "retail"), rates).lines
    return [(line.rule, str(line.quantity), str(line.amount)) for line in lines if line.group == "waste"]


@pytest.fixture
def rates() -> Rates:
    return build().at(JULY.replace(month=3))


def test_the_measured_policy_charges_each_cut_and_the_wires_own_scrap_rate(rates: Rates) -> None:
    # 3 cuts x 25 mm = 0.075 m x 4.00 = 0.30; 6 % of 12 m = 0.720 m x 4.00 = 2.88
    assert waste(rates, cuts=3, scrap_percent=D(6)) == [("cut_allowance", "0.075", "0.30"), ("scrap", "0.720", "2.88")]


def test_a_scrap_rate_above_the_cap_is_charged_at_the_cap(rates: Rates) -> None:
    # the shop's cap is 10 %: 1.200 m x 4.00 = 4.80, not 14 %
    assert waste(rates, scrap_percent=D(14)) == [("scrap", "1.200", "4.80")]


def test_the_flat_policy_charges_one_percentage_in_place_of_cuts_and_scrap() -> None:
    # 4 % of 12 m = 0.480 m x 4.00 = 1.92, whatever the cuts and the wire's own rate
    flat = build(terms=terms_with(waste_policy=("flat", ""))).at(JULY.replace(month=3))
    assert waste(flat, cuts=7, scrap_percent=D(9)) == [("scrap", "0.480", "1.92")]


def test_wire_bought_for_the_job_charges_its_full_remnant_and_no_scrap_rate(rates: Rates) -> None:
    # 2 cuts x 25 mm = 0.050 m x 4.00 = 0.20; remnant 12.950 m x 4.00 = 51.80
    assert waste(rates, cuts=2, scrap_percent=D(6), remnant=D("12.95")) == [
        ("cut_allowance", "0.050", "0.20"),
        ("remnant", "12.950", "51.80"),
    ]


def test_a_remnant_of_zero_has_no_line(rates: Rates) -> None:
    assert waste(rates, scrap_percent=D(6), remnant=D(0)) == []


@pytest.mark.parametrize("remnant", ["-0.1", "NaN", "Infinity"])
def test_a_remnant_that_is_not_a_length_is_refused(rates: Rates, remnant: str) -> None:
    with pytest.raises(QuantityError):
        price(Order((demand("wire", "12", remnant=D(remnant)),), "retail"), rates)
    with pytest.raises(QuantityError):
        price(Order((demand("terminal", "2", remnant=D(1)),), "retail"), rates)
