"""What the shop buys from whom: what the table must not contain, what is doubted, and that it counts towards no version."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from pricing.catalogue.plausibility import doubts_of
from pricing.rows import Amount

from .conftest import Loft

HEADER = "sku,supplier,order_number,pack_size,lead_time_days,cost,currency,from_day,until,minimum_order,preferred,reorder_below,source\n"
WIRE = "W-4,North Wire,NW-4,100 m,10,2.10,EUR,2026-01-01,,,yes,25 m,invented for tests\n"
FORK = "T-FORK,Sea Fittings,SF-1,10 each,7,4.00,,2026-01-01,,20 each,,,invented for tests\n"
OTHER = "T-FORK,Other Fittings,OF-1,1 each,3,4.50,,2026-03-01,,,yes,,invented for tests\n"


@pytest.fixture
def buying(loft: Loft) -> Loft:
    loft.path("purchases.csv").write_text(HEADER + WIRE + FORK + OTHER, encoding="utf-8")
    return loft


def test_rows_are_read_in_metres_and_pieces(buying: Loft) -> None:
    wire, fork, other = buying.load().tables.purchases
    assert (wire.pack_size, wire.reorder_below, wire.cost, wire.preferred) == (
        Amount(Decimal(100), "m"),
        Amount(Decimal(25), "m"),
        Decimal("2.10"),
        "yes",
    )
    assert (fork.pack_size, fork.minimum_order, fork.preferred, fork.until) == (
        Amount(Decimal(10), "each"),
        Amount(Decimal(20), "each"),
        "no",
        None,
    )
    buying.cell("purchases.csv", 2, "pack_size", "250 ft")  # 250 x 0.3048 m, exact by definition of the foot
    assert buying.load().tables.purchases[0].pack_size == Amount(Decimal("76.2"), "m")
    assert other.from_day == date(2026, 3, 1)


def test_the_table_may_be_missing_and_changes_no_version(buying: Loft) -> None:
    with_it = buying.load()
    buying.path("purchases.csv").unlink()
    without = buying.load()
    assert (with_it.version, with_it.price_version) == (without.version, without.price_version)
    assert without.tables.purchases == ()
    assert "purchases" not in with_it.kinds()


WRONG = [
    (2, "sku", "W-9", "an article of one of the tables"),
    (2, "pack_size", "0 m", "above 0"),
    (3, "pack_size", "0 each", "above 0"),
    (3, "pack_size", "10", "such as '10 each'"),
    (2, "pack_size", "10 each", "a length, since wire is bought by length"),
    (3, "pack_size", "10 m", "a number of pieces"),
    (3, "minimum_order", "2 m", "a number of pieces"),
    (3, "reorder_below", "5 each", "stock is kept of wire alone"),
    (2, "cost", "0", "above 0"),
    (2, "cost", "-1", "above 0"),
    (2, "currency", "USD", "EUR, the shop's own"),
    (2, "lead_time_days", "a week", "a whole number"),
    (2, "until", "2025-12-31", "2026-01-01 or a later day"),
    (2, "supplier", "", "printable text"),
    (2, "from_day", "1.1.2026", "a day as YYYY-MM-DD"),
    (4, "preferred", "", "yes in the rows of one of Sea Fittings, Other Fittings, who all sell T-FORK on 2026-03-01"),
    (3, "preferred", "yes", "yes for one supplier of T-FORK alone on 2026-03-01, not for Sea Fittings and Other Fittings"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "column", "text", "expected"), WRONG)
def test_a_row_that_cannot_be_ordered_by_is_a_fault(buying: Loft, line: int, column: str, text: str, expected: str) -> None:
    buying.cell("purchases.csv", line, column, text)
    fault = buying.fault()
    assert (fault.file, fault.column) == ("purchases.csv", column)
    assert expected in fault.expected


def test_two_lengths_to_reorder_below_contradict_each_other(buying: Loft) -> None:
    buying.add(
        "purchases.csv",
        **{**dict(zip(HEADER.strip().split(","), WIRE.strip().split(","), strict=True)), "order_number": "NW-4B", "reorder_below": "30 m"},
    )
    fault = buying.fault()
    assert (fault.column, fault.line, fault.found) == ("reorder_below", 5, "30 m")


def test_a_supplier_whose_row_has_ended_is_no_longer_chosen_from(buying: Loft) -> None:
    buying.cell("purchases.csv", 4, "preferred", "")
    buying.cell("purchases.csv", 3, "until", "2026-02-28")
    assert len(buying.load().tables.purchases) == 3


def doubts(loft: Loft) -> dict[str, str]:
    return {each.name: each.reason for each in doubts_of(loft.folder) if each.file == "purchases.csv"}


def test_a_cost_above_what_the_article_is_sold_for_is_doubted_by_name(buying: Loft) -> None:
    """The wire is sold for 3.40, from 50 m on for 3.20."""
    assert doubts(buying) == {}
    buying.cell("purchases.csv", 2, "cost", "3.30")
    name = "purchases/W-4/North-Wire/NW-4/2026-01-01/cost/3.30"
    assert doubts(buying) == {name: "from a quantity of 50 it is sold for 3.20, below what it costs"}
    buying.cell("purchases.csv", 2, "cost", "0.21")
    assert list(doubts(buying).values()) == ["it is sold for 3.20, more than ten times what it costs"]


def test_a_reel_of_a_length_that_no_plan_buys_is_doubted(buying: Loft) -> None:
    buying.cell("purchases.csv", 2, "pack_size", "250 m")
    assert list(doubts(buying)) == ["purchases/W-4/North-Wire/NW-4/2026-01-01/pack_size/250-m"]
