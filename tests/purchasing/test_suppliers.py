"""Which supplier an article is ordered from on a day, and in how many packs."""

from __future__ import annotations

from datetime import date

import pytest

from pricing.rows import Term
from tests.purchasing.offers import EUROS, SOURCE, SUMMER, TODAY, D, metres, offer, pieces, suppliers

PIN = offer("PIN", "North", "N-1", pieces(10), "2.00")


def test_a_newer_row_of_the_same_number_replaces_the_older_one_from_its_day_on() -> None:
    raised = offer("PIN", "North", "N-1", pieces(10), "2.20", from_day=SUMMER)
    found = suppliers(PIN, raised)
    assert found.costed("PIN", date(2026, 5, 31)) == PIN
    assert found.costed("PIN", SUMMER) == raised
    assert found.costed("PIN", date(2025, 12, 31)) is None


def test_a_row_that_has_ended_no_longer_counts() -> None:
    ended = offer("PIN", "North", "N-1", pieces(10), "2.00", until=date(2026, 3, 31))
    assert suppliers(ended).costed("PIN", date(2026, 3, 31)) == ended
    assert suppliers(ended).costed("PIN", date(2026, 4, 1)) is None


def test_the_marked_supplier_is_ordered_from_and_of_one_alone_no_mark_is_needed() -> None:
    marked = offer("PIN", "South", "S-1", pieces(1), "2.50", preferred="yes")
    assert suppliers(PIN).preferred("PIN", TODAY) == (PIN,)
    assert suppliers(PIN, marked).preferred("PIN", TODAY) == (marked,)
    other = offer("PIN", "South", "S-1", pieces(1), "2.50")
    assert suppliers(PIN, other).preferred("PIN", TODAY) == ()  # nobody is chosen in silence


def test_the_cost_of_an_article_is_that_of_the_dearest_pack() -> None:
    by_ten, single = PIN, offer("PIN", "North", "N-2", pieces(1), "2.40")
    assert suppliers(by_ten, single).costed("PIN", TODAY) == single


@pytest.mark.parametrize(
    ("needed", "least", "count", "cost"),
    [
        (1, 0, 1, "20.00"),
        (10, 0, 1, "20.00"),
        (11, 0, 2, "40.00"),
        (11, 25, 3, "60.00"),  # a least order of 25 is three packs of ten
        (31, 25, 4, "80.00"),
    ],
)
def test_packs_are_whole_and_at_least_the_minimum_order(needed: int, least: int, count: int, cost: str) -> None:
    row = offer("PIN", "North", "N-1", pieces(10), "2.00", minimum_order=pieces(least) if least else None)
    packs = suppliers(row).packs(row, D(needed), TODAY)
    assert (packs.count, packs.quantity, packs.cost) == (count, 10 * count, D(cost))


def test_the_cheapest_packs_have_the_lowest_total_cost() -> None:
    """Four pins: one pack of ten at 2.00 is 20.00, four single ones at 2.40 are 9.60; nine: 20.00 against 21.60."""
    by_ten, single = PIN, offer("PIN", "North", "N-2", pieces(1), "2.40")
    found = suppliers(by_ten, single)
    four, nine = (found.cheapest((by_ten, single), D(many), TODAY) for many in (4, 9))
    assert four is not None
    assert nine is not None
    assert (four.offer, four.count, four.cost) == (single, 4, D("9.60"))
    assert (nine.offer, nine.count, nine.cost) == (by_ten, 1, D("20.00"))


def test_the_cost_of_packs_is_rounded_once() -> None:
    """76.2 m at 0.125 are 9.525, half up 9.53; two reels are 19.05, not 2 x 9.53."""
    reel = offer("W", "North", "N-3", metres("76.2"), "0.125")
    found = suppliers(reel)
    assert [found.packs(reel, D(many), TODAY).cost for many in (70, 100)] == [D("9.53"), D("19.05")]


def test_a_cost_in_a_currency_that_the_shop_no_longer_has_does_not_count() -> None:
    changed = (*EUROS, Term("currency", "USD", "", SUMMER, SOURCE))
    found = suppliers(PIN, terms=changed)
    assert found.costed("PIN", date(2026, 5, 31)) == PIN
    assert found.costed("PIN", SUMMER) is None
