"""Tables of earlier releases have other names for two terms; old quotes are made again from such tables, and a shop may add rows under the new names."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from pricing.costing.rates import price_table

from .conftest import Loft

FORMER = {"minimum_remnant": "least_rest", "remnant_fee": "rest_fee"}


def under_former_names(loft: Loft) -> None:
    header, *rows = loft.table("terms.csv")
    loft.write("terms.csv", [header, *([FORMER.get(key, key), *cells] for key, *cells in rows)])


def test_terms_under_their_former_names_say_the_same_and_the_tables_keep_their_version(loft: Loft) -> None:
    """The version is what the release before the names computed of these files."""
    present = loft.load()
    under_former_names(loft)
    found = loft.load()
    day = date(2026, 11, 25)
    assert price_table(found).at(day).terms == price_table(present).at(day).terms
    assert (found.price_version, present.price_version == found.price_version) == ("42261fee4879bc31", False)


def test_a_later_row_under_the_present_name_takes_the_place_of_one_under_the_former(loft: Loft) -> None:
    under_former_names(loft)
    loft.add("terms.csv", key="minimum_remnant", value="2", unit="m", from_day="2027-01-01", source="invented for tests")
    prices = price_table(loft.load())
    assert [prices.at(date(year, 6, 1)).terms.minimum_remnant for year in (2026, 2027)] == [Decimal(1000), Decimal(2000)]


def test_one_term_under_both_names_from_one_day_is_reported(loft: Loft) -> None:
    loft.add("terms.csv", key="rest_fee", value="1.00", unit="", from_day="2026-01-01", source="invented for tests")
    fault = loft.fault()
    assert (fault.file, fault.column, fault.found.split(" / ")[0]) == ("terms.csv", "key, from_day", "rest_fee")
