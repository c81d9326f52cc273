"""Faults that no single cell shows: references, keys, a family's columns, prices that are not there."""

from __future__ import annotations

from datetime import date

import pytest

from pricing.costing.rates import price_table

from .conftest import Loft


@pytest.mark.parametrize(
    ("file", "line", "column", "text", "where"),
    [
        ("screws.csv", 2, "thread", "3/4-16 UNF", "threads.csv"),
        ("turnbuckle_bodies.csv", 2, "thread", "M10", "threads.csv"),
        ("terminals.csv", 3, "thread", "M8 x 1", "threads.csv"),
        ("terminals.csv", 2, "wire_sizes", "5 mm", "wires.csv"),
        ("terminals.csv", 3, "wire_sizes", "4 mm;5 mm", "wires.csv"),
        ("thimbles.csv", 2, "wire_sizes", "1/4 in", "wires.csv"),
        ("sleeves.csv", 2, "wire_sizes", "1/4 in", "wires.csv"),
        ("balls.csv", 3, "wire_sizes", "1/4 in", "wires.csv"),
        ("terminals.csv", 2, "pin", "7 mm", "pins.csv"),
        ("screws.csv", 2, "pin", "7 mm", "pins.csv"),
        ("links.csv", 3, "pin", "7 mm", "pins.csv"),
        ("pins.csv", 2, "cotter", "1.6 mm", "cotters.csv"),
    ],
)
def test_a_reference_to_a_missing_row_is_reported(loft: Loft, file: str, line: int, column: str, text: str, where: str) -> None:
    loft.cell(file, line, column, text)
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column, fault.found) == (file, line, column, text)
    assert where in fault.expected


def test_a_price_without_its_article_is_reported(loft: Loft) -> None:
    loft.add("prices.csv", sku="GHOST")
    fault = loft.fault()
    assert (fault.file, fault.column, fault.found) == ("prices.csv", "sku", "GHOST")


def test_an_article_without_any_price_is_reported_at_its_own_row(loft: Loft) -> None:
    lines = [number for number, row in enumerate(loft.table("prices.csv"), 1) if row[0] == "TH-316"]
    loft.drop("prices.csv", lines[0])
    fault = loft.fault()
    assert (fault.file, fault.line, fault.found) == ("thimbles.csv", 2, "TH-316")
    assert "prices.csv" in fault.expected


def test_a_wire_priced_by_the_piece_is_reported(loft: Loft) -> None:
    loft.cell("prices.csv", 2, "unit", "each")
    fault = loft.fault()
    assert (fault.line, fault.column) == (2, "unit")
    assert fault.expected.startswith("m,")


def test_quantity_breaks_that_begin_above_one_are_reported(loft: Loft) -> None:
    loft.cell("prices.csv", 2, "from_quantity", "10")
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (2, "from_quantity", "10")
    assert "0 or 1" in fault.expected


def test_each_days_breaks_need_their_own_first_row(loft: Loft) -> None:
    loft.add("prices.csv", from_day="2026-07-01", from_quantity="5")
    assert "2026-07-01" in loft.fault().expected


def test_two_prices_with_one_key_are_reported_even_if_spelled_differently(loft: Loft) -> None:
    loft.add("prices.csv", from_quantity="1.0")
    fault = loft.fault()
    assert fault.column == "sku, from_day, from_quantity"
    assert "has the same" in fault.expected


def test_two_wires_of_one_size_are_reported_even_if_spelled_differently(loft: Loft) -> None:
    loft.add("wires.csv", sku="W-NEW", diameter="0.1875 in")
    loft.add("prices.csv", sku="W-NEW", unit="m")
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column) == ("wires.csv", 4, "construction, material, diameter")


def test_one_sku_in_two_tables_is_reported(loft: Loft) -> None:
    loft.cell("balls.csv", 2, "sku", "SL-316")
    ghost, double = sorted(loft.faults(), key=lambda fault: fault.file, reverse=True)
    assert (double.file, double.line, double.found) == ("balls.csv", 2, "SL-316")
    assert "sleeves.csv line 2" in double.expected
    assert ghost.found == "BS-316-B"


@pytest.mark.parametrize("column", ["pin", "hole", "tip", "jaw"])
def test_a_fork_needs_pin_hole_tip_and_jaw(loft: Loft, column: str) -> None:
    loft.cell("terminals.csv", 2, column, "")
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (2, column, "a blank cell")
    assert "fork family" in fault.expected


@pytest.mark.parametrize("column", ["thread", "hand", "thread_length", "plain_tip"])
def test_a_stud_needs_its_thread(loft: Loft, column: str) -> None:
    loft.cell("terminals.csv", 3, column, "")
    assert (loft.fault().line, loft.fault().column) == (3, column)


@pytest.mark.parametrize("column", ["shank_before", "bore", "shank_after", "swaged_length"])
def test_growth_left_blank_needs_the_shank_to_derive_it_from(loft: Loft, column: str) -> None:
    loft.cell("terminals.csv", 4, column, "")
    fault = loft.fault()
    assert (fault.line, fault.column) == (4, column)
    assert "no growth" in fault.expected


def test_a_column_that_does_not_apply_to_the_family_stays_blank(loft: Loft) -> None:
    loft.cell("terminals.csv", 2, "slot", "8 mm")
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (2, "slot", "8 mm")
    assert "a blank cell" in fault.expected


def test_a_compression_terminal_does_not_grow(loft: Loft) -> None:
    loft.cell("terminals.csv", 3, "growth", "1 mm")
    assert loft.fault().expected == "0 mm for a compression terminal"


def test_a_toggle_link_needs_its_inner_hole_and_a_shackle_has_none(loft: Loft) -> None:
    loft.cell("links.csv", 2, "inner_hole", "")
    loft.cell("links.csv", 3, "inner_hole", "8.4 mm")
    assert [(fault.line, fault.column) for fault in loft.faults()] == [(2, "inner_hole"), (3, "inner_hole")]


@pytest.mark.parametrize(
    ("file", "line", "column", "text"),
    [
        ("terminals.csv", 2, "hole", "7.9 mm"),
        ("terminals.csv", 4, "ball", "8 mm"),
        ("terminals.csv", 3, "reach", "57 mm"),
        ("links.csv", 2, "hole", "7.9 mm"),
        ("pins.csv", 2, "head", "7 mm"),
        ("thimbles.csv", 2, "groove_radius", "7 mm"),
        ("balls.csv", 2, "ball", "1/8 in"),
    ],
)
def test_sizes_that_cannot_be_are_reported(loft: Loft, file: str, line: int, column: str, text: str) -> None:
    loft.cell(file, line, column, text)
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column, fault.found) == (file, line, column, text)
    assert fault.expected.startswith("at least the ")


def test_overlapping_labour_classes_are_reported(loft: Loft) -> None:
    loft.cell("labour.csv", 3, "over", "3 mm")
    fault = loft.fault()
    assert (fault.line, fault.column) == (3, "over")
    assert "at least 4 mm" in fault.expected


OWN = {"sku": "WK-OUT", "name": "Call-out", "operation": "call_out", "over": "", "up_to": "", "time": "", "counted_by": "quote"}


def with_own_work(loft: Loft, unit: str = "each", **cells: str) -> None:
    """A kind of work of the shop's own, priced."""
    header, *body = loft.table("labour.csv")
    loft.write("labour.csv", [[*header, "counted_by"], *([*row, ""] for row in body)])
    loft.add("labour.csv", **{**OWN, **cells})
    loft.add("prices.csv", sku="WK-OUT", unit=unit, from_quantity="0", unit_price="60")


def test_a_kind_of_work_of_the_shops_own_is_read_beside_what_the_engine_counts(loft: Loft) -> None:
    with_own_work(loft, "hour", counted_by="hour")
    found = loft.load()
    row = found.own_work["call_out"]
    assert (row.over, row.up_to, row.minutes, row.counted_by, row.unit) == (None, None, None, "hour", "hour")
    assert list(found.own_work) == ["call_out"]


@pytest.mark.parametrize(
    ("cells", "column", "expected"),
    [
        ({"counted_by": ""}, "operation", "counted_by quote, assembly, hour, each"),
        ({"counted_by": "boat"}, "counted_by", "one of quote, assembly, hour, each"),
        ({"operation": "Call-out"}, "operation", "a code of your own such as call_out"),
        ({"operation": "c" * 41}, "operation", "at most 40"),
        ({"over": "0 mm"}, "over", "a blank cell"),
        ({"up_to": "5 mm"}, "up_to", "a blank cell"),
        ({"counted_by": "hour"}, "unit", "hour, in which this article is sold"),
    ],
)
def test_a_kind_of_work_that_cannot_be_counted_is_reported(loft: Loft, cells: dict[str, str], column: str, expected: str) -> None:
    with_own_work(loft, **cells)
    fault = loft.fault()
    assert (fault.column, expected in fault.expected) == (column, True), fault


def test_a_misspelled_operation_is_reported_with_the_nearest_one(loft: Loft) -> None:
    with_own_work(loft, operation="tags", counted_by="")
    assert "did you mean tag?" in loft.fault().found


@pytest.mark.parametrize(("column", "text"), [("over", ""), ("up_to", ""), ("time", ""), ("counted_by", "each")])
def test_what_the_engine_counts_has_its_sizes_and_time_and_no_other_count(loft: Loft, column: str, text: str) -> None:
    with_own_work(loft)
    loft.cell("labour.csv", 9, column, text)
    assert column in {fault.column for fault in loft.faults()}


def test_two_rows_of_one_kind_of_work_are_reported(loft: Loft) -> None:
    with_own_work(loft)
    loft.add("labour.csv", **{**OWN, "sku": "WK-OUT-2"})
    loft.add("prices.csv", sku="WK-OUT-2")
    assert loft.fault().expected == "a row of its own: line 10 has the same"


@pytest.mark.parametrize("kind", ["thimbles.csv", "sleeves.csv"])
def test_a_second_thimble_or_sleeve_for_one_wire_is_reported(loft: Loft, kind: str) -> None:
    loft.add(kind, sku="SECOND")
    loft.add("prices.csv", sku="SECOND")
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column) == (kind, 3, "wire_sizes")


def test_a_group_without_a_tax_row_is_reported(loft: Loft) -> None:
    loft.drop("tax.csv", 6)
    assert loft.fault().expected == "a row whose group is freight"


def test_a_missing_term_is_reported(loft: Loft) -> None:
    loft.drop("terms.csv", 5)
    assert loft.fault().expected == "a row whose key is centred_share"


def test_an_unknown_term_is_reported(loft: Loft) -> None:
    loft.add("terms.csv", key="colour")
    assert (loft.fault().column, loft.fault().found) == ("key", "colour")


def test_an_operation_without_a_class_is_reported(loft: Loft) -> None:
    lines = [number for number, row in enumerate(loft.table("prices.csv"), 1) if row[0] == "WK-TAG"]
    loft.drop("prices.csv", lines[0])
    loft.drop("labour.csv", 9)
    assert loft.fault().expected == "a row whose operation is tag"


def test_there_is_one_edition(loft: Loft) -> None:
    loft.add("edition.csv", name="Another")
    assert (loft.fault().found, loft.fault().expected) == ("2 rows", "exactly one row")


def test_faults_of_every_kind_and_file_come_at_once(loft: Loft) -> None:
    loft.path("price_lists.csv").unlink()
    loft.append_text("freight.csv", "10 kg\n")
    loft.cell("wires.csv", 2, "break", "much")
    loft.cell("screws.csv", 2, "thread", "M10")
    loft.cell("pins.csv", 2, "source", "")
    loft.cell("terminals.csv", 2, "jaw", "")
    loft.cell("prices.csv", 2, "unit_price", "-1")
    loft.add("prices.csv", sku="GHOST")
    loft.cell("terms.csv", 3, "value", "soon")
    found = {(fault.file, fault.line, fault.column) for fault in loft.faults()}
    assert found == {
        ("price_lists.csv", 0, ""),
        ("freight.csv", 3, ""),
        ("wires.csv", 2, "break"),
        ("screws.csv", 2, "thread"),
        ("pins.csv", 2, "source"),
        ("terminals.csv", 2, "jaw"),
        ("prices.csv", 2, "unit_price"),
        ("prices.csv", len(loft.table("prices.csv")), "sku"),
        ("terms.csv", 3, "value"),
    }


def test_a_shop_without_a_region_leaves_it_blank_and_no_other_term(loft: Loft) -> None:
    """Many countries write no region in an address."""
    loft.add("terms.csv", key="seller_region", value="", unit="")
    rates = price_table(loft.load()).at(date(2026, 6, 1))
    assert rates.terms.seller_region == ""
    loft.add("terms.csv", key="shop_timezone", value="", unit="", from_day="2026-02-01")
    assert (loft.fault().column, loft.fault().found) == ("value", "a blank cell")
