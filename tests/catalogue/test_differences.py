"""What differs between two editions, against changes made by hand in a small loft's tables."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from pricing.catalogue.compiling import checked_sheets
from pricing.catalogue.differences import CellChange, TableDifference, differences

from .conftest import SMALL, Loft

D = Decimal


@pytest.fixture
def later(tmp_path: Path) -> Loft:
    """The loft's tables in their next edition."""
    return Loft(Path(shutil.copytree(SMALL, tmp_path / "later")))


def differ(before: Loft, after: Loft) -> dict[str, TableDifference]:
    return {each.kind: each for each in differences(checked_sheets(before.folder), checked_sheets(after.folder))}


def test_the_same_tables_in_another_spelling_and_order_do_not_differ(loft: Loft, later: Loft) -> None:
    later.cell("terminals.csv", 2, "reach", "6.3 cm")
    header, *rows = later.table("prices.csv")
    later.write("prices.csv", [header, *reversed(rows)])
    assert differ(loft, later) == {}


def test_rows_new_gone_and_changed_are_reported_with_what_they_come_to(loft: Loft, later: Loft) -> None:
    """Reach 63 to 65 mm: +2 mm, 2/63 = 3.17 %. Price 7.50 to 8.25: +10 %. Mass 40 to 50 g: +25 %. Tolerance as in the file to 1 mm more."""
    later.cell("terminals.csv", 2, "reach", "65 mm")
    later.cell("terminals.csv", 2, "mass", "50 g")
    later.cell("prices.csv", 6, "unit_price", "8.25")
    later.drop("prices.csv", 3)  # the break of W-4 from 50 m on
    later.add("freight.csv", up_to_mass="900 kg")
    terms = later.table("terms.csv")
    line, was = next((at, row) for at, row in enumerate(terms, 1) if row[0] == "cut_allowance")
    later.cell("terms.csv", line, "value", str(int(was[1]) + 1))
    found = differ(loft, later)
    assert list(found) == ["terminals", "prices", "freight", "terms"]
    (fork,) = found["terminals"].changed
    assert (fork.key, fork.line) == ((("sku", "T-FORK"),), 2)
    assert fork.changes == (
        CellChange("reach", "63 mm", "65 mm", D(2), D("3.2")),
        CellChange("mass", "40 g", "50 g", None, D("25.0")),
    )
    assert [each.key for each in found["prices"].gone] == [(("sku", "W-4"), ("from_day", "2026-01-01"), ("from_quantity", "50"))]
    (price,) = found["prices"].changed
    assert price.changes == (CellChange("unit_price", "7.50", "8.25", None, D("10.0")),)
    assert [dict(each.key)["up_to_mass"] for each in found["freight"].new] == ["900 kg"]
    (term,) = found["terms"].changed
    assert (term.changes[0].mm, term.changes[0].column) == (D(1), "value")
    assert (found["terminals"].new, found["terminals"].gone) == ((), ())


def test_a_cell_that_was_empty_has_no_value_before(loft: Loft, later: Loft) -> None:
    header, *rows = later.table("turnbuckle_bodies.csv")
    later.write("turnbuckle_bodies.csv", [[*header, "boss"], *([*row, "6 mm"] for row in rows)])
    found = differ(loft, later)
    assert {change for row in found["turnbuckle_bodies"].changed for change in row.changes} == {CellChange("boss", None, "6 mm")}


def test_an_article_whose_number_changed_is_one_removed_and_one_new(loft: Loft, later: Loft) -> None:
    for file in ("pins.csv", "prices.csv"):
        text = later.path(file).read_text(encoding="utf-8")
        sku = loft.table("pins.csv")[1][0]
        later.path(file).write_text(text.replace(f"{sku},", "P-OTHER,"), encoding="utf-8")
    pins = differ(loft, later)["pins"]
    assert ([dict(each.key) for each in pins.gone], [dict(each.key) for each in pins.new]) == ([{"sku": sku}], [{"sku": "P-OTHER"}])
