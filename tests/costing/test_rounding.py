"""The one rounding. Ties worked out by hand; "1.347 once" is MTO LS-100 rev 16, section 3 (never round twice)."""

from __future__ import annotations

from decimal import Decimal, getcontext, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.money import MINOR_UNITS, MoneyError, exact_money, extension, minor_unit, money_text, percent_of, price_text, round_money

AMOUNTS = st.decimals(min_value=-(10**9), max_value=10**9, places=6)
CURRENCIES = st.sampled_from(["JPY", "USD", "EUR", "KWD", "CLF"])


@pytest.mark.parametrize(
    ("amount", "currency", "rounded"),
    [
        ("1.005", "USD", "1.01"),  # a tie, up
        ("1.015", "USD", "1.02"),  # half even would stay with 1.02 too; the next would not
        ("1.025", "USD", "1.03"),
        ("1.0049999", "USD", "1.00"),
        ("-1.005", "USD", "-1.01"),  # a credit mirrors its charge
        ("0.5", "JPY", "1"),
        ("2.5", "JPY", "3"),
        ("1.347", "JPY", "1"),
        ("0.0005", "KWD", "0.001"),
        ("0.00005", "CLF", "0.0001"),
    ],
)
def test_a_tie_goes_away_from_zero(amount: str, currency: str, rounded: str) -> None:
    assert str(round_money(Decimal(amount), currency)) == rounded


@given(amount=AMOUNTS, currency=CURRENCIES)
def test_rounding_agrees_with_exact_fractions(amount: Decimal, currency: str) -> None:
    scale = 10 ** minor_unit(currency)
    magnitude = (abs(Fraction(amount)) * scale * 2 + 1) // 2
    assert Fraction(round_money(amount, currency)) * scale == (magnitude if amount >= 0 else -magnitude)


@given(amount=AMOUNTS, currency=CURRENCIES)
def test_a_rounded_amount_stays_and_prints_without_an_exponent_or_a_negative_zero(amount: Decimal, currency: str) -> None:
    once = round_money(amount, currency)
    assert round_money(once, currency) == once
    text = money_text(once, currency)
    assert Decimal(text) == once
    assert "E" not in text
    assert not (once == 0 and text.startswith("-"))


def test_a_quotient_is_rounded_once() -> None:
    # 0.015 per 3 is exactly 0.005, a tie: up. A hair below it stays below; at 28 digits it would have become the tie.
    assert extension(Decimal(1), Decimal("0.015"), Decimal(3), "USD") == Decimal("0.01")
    assert extension(Decimal(1), Decimal("0.0149999999999999999999999999999999999997"), Decimal(3), "USD") == Decimal(0)
    # 10 at 100 per 3 = 333.333...
    assert extension(Decimal(10), Decimal(100), Decimal(3), "USD") == Decimal("333.33")


def test_rounding_does_not_depend_on_the_threads_decimal_precision() -> None:
    before = getcontext().prec
    with localcontext() as context:
        context.prec = 4
        assert round_money(Decimal("123456.785"), "USD") == Decimal("123456.79")
        assert percent_of(Decimal("625743.54"), Decimal(25), "USD") == Decimal("156435.89")
    assert getcontext().prec == before


@pytest.mark.parametrize("amount", ["NaN", "sNaN", "Infinity", "-Infinity", "1E+400"])
def test_a_value_that_is_not_a_number_is_not_an_amount(amount: str) -> None:
    with pytest.raises(MoneyError, match="not an amount"):
        round_money(Decimal(amount), "USD")


def test_a_float_is_refused_by_name() -> None:
    with pytest.raises(TypeError, match="not float"):
        round_money(1.005, "USD")  # type: ignore[arg-type]


@pytest.mark.parametrize("code", ["", "usd", "US$", "EURO", "ABC", "DEM"])
def test_an_unknown_currency_is_an_error_and_not_two_digits(code: str) -> None:
    assert code not in MINOR_UNITS
    with pytest.raises(MoneyError) as refused:
        round_money(Decimal(1), code)
    assert refused.value.code == "unknown_currency"


def test_printing_does_not_round() -> None:
    assert money_text(Decimal("3.5"), "USD") == "3.50"
    assert money_text(Decimal("1E+3"), "JPY") == "1000"
    assert str(exact_money(Decimal(7), "KWD")) == "7.000"
    with pytest.raises(MoneyError, match="part of the minor unit"):
        money_text(Decimal("3.505"), "USD")


def test_a_unit_price_keeps_its_digits_and_has_at_least_those_of_the_currency() -> None:
    assert price_text(Decimal("0.0125"), "USD") == "0.0125"
    assert price_text(Decimal("3.5000"), "USD") == "3.50"
    assert price_text(Decimal("1E+2"), "JPY") == "100"
