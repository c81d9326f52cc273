"""Numbers in sentences and documents: all digits, never an exponent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.values import digits


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (Decimal("9097.9625"), "9097.9625"),
        (Decimal("8.0"), "8.0"),
        (Decimal("1E+3"), "1000"),
        (Decimal("0.0000116"), "0.0000116"),
        (Decimal("1.6E-8"), "0.000000016"),
        (Decimal("-0.00000001"), "-0.00000001"),
        (Decimal("0E-9"), "0.000000000"),
    ],
)
def test_written_out(number: Decimal, written: str) -> None:
    assert digits(number) == written


@given(st.decimals(allow_nan=False, allow_infinity=False, places=None).filter(lambda each: abs(each.adjusted()) < 100))
def test_no_digit_is_lost(number: Decimal) -> None:
    text = digits(number)
    assert "E" not in text
    assert Decimal(text) == number
