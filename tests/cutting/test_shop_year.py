"""Some weeks of a shop that keeps its remnants: no millimetre is lost or gained, and no metre costs less than the cheapest spool's."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.cutting import Piece, Policy, Stock, plan

from .shop_year import FLOOR, OPENED, Shop, Taken, run


def by_ladder(pieces: list[Piece], stock: list[Stock], policy: Policy) -> list[Taken]:
    found = plan(pieces, stock, policy)
    assert found.unplanned == ()
    rows = {row.id: row for row in stock}
    return [Taken(rows[use.stock_id], use.used, use.remnant, use.kept) for use in found.uses]


def year(fee: str) -> Shop:
    return run(Policy(allowance=Decimal(3), least_remnant=Decimal(800), remnant_fee=Decimal(fee)), by_ladder, seed=5, days=40)


@pytest.mark.parametrize("fee", ["0", "3", "10", "Infinity"])
def test_bought_metres_are_pieces_allowances_scrap_and_shelf(fee: str) -> None:
    shop = year(fee)
    assert shop.bought == shop.pieces + shop.allowances + shop.scrap + shop.left
    assert shop.cost_per_metre >= FLOOR
    assert bool(shop.shelf) == (fee != "Infinity")


def test_a_shop_that_keeps_remnants_scraps_less_than_one_that_throws_them_away() -> None:
    assert year("3").scrap < year("Infinity").scrap / 10


def test_an_opened_spool_is_cut_before_a_spool_that_costs_the_same_is_opened() -> None:
    """Keeping a remnant costs the same fee on either, so only the tie-break decides; otherwise a shop would end up with dozens of opened spools."""
    shop = year("3")
    assert sum(row.length >= OPENED for row in shop.shelf) <= 10  # of 40 days
