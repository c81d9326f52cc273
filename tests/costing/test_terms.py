"""The shop's terms: typed, dated, and every fault at once."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from decimal import Decimal

import pytest

from pricing.costing.rates import PriceTable, Rates
from pricing.costing.terms import READERS, Terms
from pricing.errors import TableError
from pricing.rows import Term

from .shop import JULY, NEW_YEAR, SOURCE, TERMS, build, terms_with

D = Decimal
# what a shop may do without: it was added after the first tables
MAY_LACK = {
    "price_breaks", "payment_terms", "fittings_priced", "repeatability", "tolerance_turnbuckle", "tolerance_pair", "doubt_limit", "doubt_limit_turnbuckle", "doubt_limit_pair",
    "temperature_within", "temperature_unsaid_within", "pull_within_percent", "tension_within_percent", "properties_within_percent",
    "coldest", "warmest", "hand_pull", "tension_percent", "kept_within",
    "reading_limit",  # given up since; tables of before have it
    "bare_end_most", "cap_share_least", "cap_share_most", "lifeline_share_most", "lower_share_least", "lower_share_most",
    "mizzen_cap_share_least", "mizzen_lower_share_least", "stay_share_least", "stay_share_most", "wire_per_metre_least", "wire_per_metre_most",
    *(f"seller_{each}" for each in ("street", "city", "postal_code", "region", "country", "phone", "email", "tax_number", "legal")),
}  # fmt: skip


def test_terms_come_typed_with_lengths_in_millimetres(rates: Rates) -> None:
    terms = rates.terms
    assert (terms.currency, terms.validity_days, terms.lead_time_days) == ("EUR", 30, 10)
    assert (terms.cut_allowance, terms.reading_limit, terms.inch_resolution) == (D(25), D("6.35"), D("1.5875"))
    assert (str(terms.minimum_order), terms.waste_percent, terms.shop_timezone) == ("60.00", D(4), "Europe/Lisbon")


def test_every_term_has_a_reader_of_its_name() -> None:
    assert {field.name for field in fields(Terms)} == set(READERS)


def test_a_term_counts_from_its_day_on() -> None:
    table = build(terms=(*TERMS, Term("minimum_order", "75", "", JULY, SOURCE)))
    assert table.at(date(2026, 6, 30)).terms.minimum_order == 60
    assert table.at(JULY).terms.minimum_order == 75


@pytest.mark.parametrize(
    ("key", "value", "unit"),
    [
        ("currency", "EURO", ""), ("currency", "EUR", "each"), ("validity_days", "0", ""), ("validity_days", "30.0", ""),
        ("validity_days", "99999", ""), ("lead_time_days", "-1", ""), ("lead_time_days", "10", "mm"), ("lead_time_days", "ten", ""), ("centred_share", "0.4", ""),
        ("centred_share", "1.1", ""), ("waste_percent", "101", ""), ("waste_percent", "4", "mm"), ("cut_allowance", "25", ""),
        ("tolerance", "0", "mm"), ("pair_limit", "6", "kg"), ("minimum_order", "1e3", ""), ("minimum_order", "-1", ""),
        ("stop_clearance_diameters", "NaN", ""), ("bedding_in_percent", "", ""), ("shop_timezone", "Lisbon time", ""), ("seller", " ", ""),
        ("seller", "a\nb", ""), ("seller_street", "12", "m"), ("seller_country", "USA", ""), ("seller_country", "us", ""), ("repeatability", "0", "mm"), ("coldest", "-15", ""), ("coldest", "-15", "K"), ("warmest", "90", "degC"),
        ("temperature_within", "3", "mm"), ("hand_pull", "300", ""), ("tension_percent", "101", "%"), ("doubt_limit", "5", "N"),
    ],
)  # fmt: skip
def test_a_term_that_cannot_be_read_is_a_fault_with_what_is_expected(key: str, value: str, unit: str) -> None:
    with pytest.raises(TableError) as refused:
        build(terms=terms_with(**{key: (value, unit)}))
    (fault,) = refused.value.faults
    assert (fault.file, fault.column, fault.expected) == ("terms.csv", key, READERS[key].expected)


def test_all_missing_and_unreadable_terms_are_listed_together() -> None:
    rows = (*terms_with(currency=None, seller=None, tolerance=("3", "")), Term("minimum_ordre", "50", "", NEW_YEAR, SOURCE))
    with pytest.raises(TableError) as refused:
        build(terms=rows)
    assert {fault.column for fault in refused.value.faults} == {"currency", "seller", "tolerance", "minimum_ordre"}


def test_terms_not_yet_in_force_are_named_with_the_day_and_do_not_hinder_other_look_ups(table: PriceTable) -> None:
    rates = table.at(date(2025, 12, 31))
    with pytest.raises(TableError, match="2025-12-31") as refused:
        _ = rates.terms
    assert {fault.column for fault in refused.value.faults} == {field.name for field in fields(Terms)} - MAY_LACK
    assert rates.price_lists() == ()


def test_a_minimum_order_finer_than_the_currency_is_refused() -> None:
    table = build(terms=terms_with(currency=("JPY", ""), minimum_order=("60.50", "")))
    with pytest.raises(TableError, match="part of the minor unit"):
        _ = table.at(JULY).terms
