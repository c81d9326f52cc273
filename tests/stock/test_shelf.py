"""The shelf as the planner sees it: no object longer than it is, opened wire first, and wire bought for the job kept separate."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from pricing.catalogue import Catalogue, load_catalogue
from pricing.costing.terms import Terms
from pricing.cutting import Piece, plan
from pricing.rows import Spool, StockRow
from pricing.stock.shelf import Shelf, policy
from tests.catalogue.conftest import SMALL
from tests.costing.shop import JULY, build

D = Decimal
SPOOL = Spool("S100", "W", D(100_000), D("200.00"), date(2026, 1, 1), "invented for tests")
OPENED = StockRow("OPEN", "W", "opened", D("30000.09"), None, D("2.00"), 1, None, "invented for tests")
SHELF = Shelf((OPENED,), (SPOOL,))


@pytest.fixture
def small() -> Catalogue:
    """A small loft's tables."""
    return load_catalogue(SMALL)


@pytest.fixture
def terms() -> Terms:
    """Taking up costs 2, opening a new spool 5 besides."""
    return build().at(JULY).terms


def test_lengths_are_rounded_down_to_a_tenth(terms: Terms) -> None:
    assert [each.length for each in SHELF.of("W", terms)] == [D("30000.0"), D(100_000)]
    assert SHELF.of("V", terms) == ()


def test_of_two_spools_of_equal_value_per_metre_the_opened_one_is_cut(terms: Terms) -> None:
    made = plan([Piece(D(9_000))], SHELF.of("W", terms), policy(terms))
    # 9.025 m x 2.00 + 2.00 for taking it up + 3.00 for the remnant: 23.05; a new spool would cost 5.00 more
    assert (made.uses[0].stock_id, made.cost) == ("OPEN", D("23.05"))
    opened_new = plan([Piece(D(9_000))], SHELF.bought("W", terms), policy(terms))
    assert opened_new.cost == D("28.05")


def test_an_unopened_spool_on_the_shelf_costs_its_opening_unless_its_row_says_otherwise(terms: Terms) -> None:
    held = replace(OPENED, id="BOX", kind="new")
    own = replace(held, id="OWN", touch=D("0.50"))
    found = {each.id: each.touch for each in Shelf((held, own, OPENED), ()).of("W", terms)}
    assert found == {"BOX": D(7), "OWN": D("0.50"), "OPEN": None}


def test_wire_bought_for_the_job_is_planned_on_bought_lengths_alone(terms: Terms, small: Catalogue) -> None:
    stocked = replace(next(iter(small.wires.values())), sku="W")
    assert {each.id for each in SHELF.for_quote(stocked, terms)} == {"OPEN", "S100"}
    assert {each.id for each in SHELF.for_quote(replace(stocked, bought="for_the_job"), terms)} == {"S100"}
    assert policy(terms, for_the_job=True).remnant_fee == D("Infinity")
