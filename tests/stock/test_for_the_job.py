"""Wire bought for the job: its customer pays for the remnant of the cheapest lengths that can be bought, and exactly those lengths are cut.

Optima are taken by trying every way to share the pieces out, or by hand in the comments.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

import pytest

from pricing.catalogue import load_catalogue
from pricing.costing.terms import Terms
from pricing.rows import Spool, StockRow, Wire
from pricing.stock.pieces import WantedPieces
from pricing.stock.planning import plan_quotes
from pricing.stock.shelf import Shelf
from tests.catalogue.conftest import SMALL
from tests.costing.shop import JULY, build
from tests.counts import some_of

D = Decimal
LENGTHS = {"25": "112.00", "50": "208.00", "100": "400.00"}


@pytest.fixture
def terms() -> Terms:
    return build().at(JULY).terms


@pytest.fixture
def bought() -> Wire:
    return replace(next(iter(load_catalogue(SMALL).wires.values())), bought="for_the_job")


def spools(wire: Wire) -> tuple[Spool, ...]:
    return tuple(Spool(f"S{m}", wire.sku, D(m) * 1000, D(price), date(2026, 1, 1), "invented for tests") for m, price in LENGTHS.items())


def shares(pieces: Sequence[Decimal]) -> Iterator[list[list[Decimal]]]:
    """Every way to share pieces out."""
    if not pieces:
        yield []
        return
    for rest in shares(pieces[1:]):
        yield [[pieces[0]], *rest]
        for n, part in enumerate(rest):
            yield [*rest[:n], [pieces[0], *part], *rest[n + 1 :]]


def least(pieces: Sequence[Decimal], terms: Terms) -> Decimal:
    """The least cost: of each part the cheapest length that holds it, with taking it up and opening it."""
    open_one = terms.touch_cost + terms.opening_cost

    def one(part: list[Decimal]) -> Decimal:
        used = sum((each + terms.cut_allowance for each in part), D(0))
        return min((D(price) + open_one for m, price in LENGTHS.items() if D(m) * 1000 >= used), default=D("Infinity"))

    return min(sum((one(part) for part in way), D(0)) for way in shares(pieces))


@pytest.mark.parametrize("seed", some_of(range(60), 15))
def test_the_lengths_that_a_customer_pays_for_are_the_cheapest_there_are(seed: int, terms: Terms, bought: Wire) -> None:
    rng = Random(seed)
    lengths = [D(rng.randint(30_000, 200_000)) / 10 for _ in range(rng.randint(3, 8))]
    asked = [WantedPieces(bought.sku, each, 1, f"P{n}") for n, each in enumerate(lengths)]
    (made,) = plan_quotes(asked, {bought.sku: bought}, Shelf((), spools(bought)), terms)
    assert made.plan is not None
    assert (made.plan.cost, made.plan.proven) == (least(lengths, terms), True)


def test_each_quote_has_its_own_bought_lengths_and_nothing_comes_off_the_shelf(terms: Terms, bought: Wire) -> None:
    # 10 m each: together they would come off one spool of 25 m, but each customer pays for the rest of one of his own
    shelf = Shelf((StockRow("OPEN", bought.sku, "opened", D(60_000), None, D("4.00"), 1, None, "invented for tests"),), spools(bought))
    asked = [WantedPieces(bought.sku, D(10_000), 1, "P", quote=number) for number in ("Q-1", "Q-2")]
    together = plan_quotes(asked, {bought.sku: bought}, shelf, terms)
    assert [(each.for_quote, [use.stock_id for use in each.plan.uses] if each.plan else None) for each in together] == [
        ("Q-1", ["S25"]),
        ("Q-2", ["S25"]),
    ]
    alone = [plan_quotes([each], {bought.sku: bought}, shelf, terms)[0].remnant_metres() for each in asked]
    assert [each.remnant_metres() for each in together] == alone
