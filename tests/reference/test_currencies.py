"""Minor units of currencies against ISO 4217.

Sources: list one of the maintenance agency as the `iso4217` package carries it (published 2026-01-01), read at test time; and the digits
that Unicode CLDR prints for a few, written out by hand. CLDR departs from ISO where cash differs (it has 0 for ISK and for several more
with 2 in ISO), so only codes on which both agree are written out.
"""

from __future__ import annotations

from decimal import Decimal

import iso4217
import pytest

from pricing.money import MINOR_UNITS, MoneyError, minor_unit, round_money

PUBLISHED = {currency.code: currency.exponent for currency in iso4217.Currency}


def test_the_table_is_list_one_of_iso_4217_without_the_codes_that_have_no_minor_unit() -> None:
    assert {code: digits for code, digits in PUBLISHED.items() if digits is not None} == MINOR_UNITS


@pytest.mark.parametrize(
    ("currency", "digits"),
    [("USD", 2), ("EUR", 2), ("GBP", 2), ("JPY", 0), ("ISK", 0), ("BHD", 3), ("KWD", 3), ("TND", 3), ("CLF", 4)],
)
def test_minor_units_that_iso_4217_and_cldr_print_alike(currency: str, digits: int) -> None:
    assert minor_unit(currency) == digits
    assert round_money(Decimal("1.23456"), currency).as_tuple().exponent == -digits


# ISO 4217: gold, "no currency", the code for tests, and the unit of account of the IMF
@pytest.mark.parametrize("code", ["XAU", "XXX", "XTS", "XDR"])
def test_codes_without_a_minor_unit_price_nothing(code: str) -> None:
    assert PUBLISHED[code] is None
    with pytest.raises(MoneyError, match="not a currency code"):
        minor_unit(code)
