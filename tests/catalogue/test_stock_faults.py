"""The wire to cut from: what a stock table must not contain, each fault with its line and what is expected."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.catalogue import Catalogue
from pricing.costing.rates import price_table

from .conftest import Loft

WRONG = [
    ("stock.csv", 2, "length", "0 mm", "a length with its unit"),
    ("stock.csv", 2, "length", "31.4", "a length with its unit"),
    ("stock.csv", 2, "wire", "W-9", "wires.csv"),
    ("stock.csv", 2, "kind", "remnant", "one of new, opened, offcut"),
    ("stock.csv", 2, "count", "unlimited", "a whole number"),
    ("stock.csv", 2, "count", "-1", "a whole number"),
    ("stock.csv", 2, "price_per_metre", "2.105", "minor unit"),
    ("stock.csv", 2, "price", "60.00", "either price"),
    ("stock.csv", 2, "price_per_metre", "", "either price"),
    ("stock.csv", 3, "id", "W4-OPEN", "line 2"),
    ("stock.csv", 3, "id", "W4-100M", "spools.csv"),
    ("stock.csv", 3, "touch", "0.005", "minor unit"),
    ("spools.csv", 2, "length", "90 m", "an id of its own"),
    ("spools.csv", 2, "price", "-1", "a price of 0 or more"),
    ("wires.csv", 2, "bought", "sometimes", "one of for_stock, for_the_job"),
]


@pytest.mark.parametrize(("file", "line", "column", "text", "expected"), WRONG)
def test_a_stock_row_that_cannot_be_planned_with_is_a_fault(
    loft: Loft, file: str, line: int, column: str, text: str, expected: str
) -> None:
    loft.cell(file, line, column, text)
    fault = loft.fault()
    assert fault.file == file
    assert expected in fault.expected


def test_a_shelf_may_be_empty_and_changes_no_version(loft: Loft, small: Catalogue) -> None:
    loft.write("stock.csv", loft.table("stock.csv")[:1])
    bare = loft.load()
    assert bare.stock == ()
    assert (bare.version, bare.price_version) == (small.version, small.price_version)


def test_spools_are_dated_like_prices_and_change_their_version(loft: Loft, small: Catalogue) -> None:
    may, june = (price_table(small).at(day).spools for day in (small.edition.day.replace(month=5), small.edition.day.replace(month=6)))
    assert {row.id: row.price for row in may}["W4-100M"] == Decimal("210.00")
    assert {row.id: row.price for row in june}["W4-100M"] == Decimal("222.00")
    loft.cell("spools.csv", 2, "price", "211.00")
    changed = loft.load()
    assert (changed.version, changed.price_version == small.price_version) == (small.version, False)
