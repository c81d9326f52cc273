"""Orders made to take long: the planner stops at its limit of steps or seconds, returns complete cuts, and says that optimality was not proven.

The sizes are hostile: no shop has such orders. How long they took before there was a budget stands beside each, in seconds of a
machine on which the yardstick of these tests takes 0.03 s.
"""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from pricing.cutting import Limits, Piece, Plan, Policy, Source, Stock, plan
from pricing.cutting.packer import Packer
from pricing.cutting.scaling import scale
from pricing.cutting.watch import Watch
from tests.counts import some, some_of
from tests.yardstick import at_most, spent

from .workshop import FEE, PAID, Order, order

D = Decimal

PRICE = Limits(column_rounds=0, work=600_000_000)
BOUGHT = [Stock(f"spool {m}", D(m) * 1000, price=D(p), count=None) for m, p in (("25", "112.00"), ("50", "208.00"), ("100", "400.00"))]


def long_wires(seed: int, count: int, quantity: int) -> list[Piece]:
    """Lengths to 0.1 mm of up to a whole spool: every exact fill is a search, and every object a hard one."""
    rng = Random(seed)
    return [Piece(D(rng.randint(20_000, 900_000)) / 10, quantity, f"wire {n}") for n in range(count)]


def many_kinds(seed: int, policy: Policy = FEE) -> Order:
    """16 pieces, 280 kinds of offcuts with 980 of them: the exact table looked through all of them for each, 199 s."""
    rng = Random(seed)
    offcuts = [
        Stock(
            f"offcut {n}", D(rng.randint(200_000, 9_900_000)) / 10, Source.OFFCUT, price_per_metre=D(rng.randint(100, 5000)) / 100, count=3
        )
        for n in range(280)
    ]
    return Order([Piece(D(rng.randint(200_000, 4_900_000)) / 10) for _ in range(16)], offcuts, policy)


def all_placed(found: Plan, pieces: list[Piece]) -> bool:
    cut = Counter(cut.length for use in found.uses for cut in use.cuts)
    wanted: Counter[D] = Counter()
    for piece in pieces:
        wanted[piece.length] += piece.quantity
    return not found.unplanned and cut == wanted


@pytest.mark.parametrize(("count", "quantity"), some_of([(60, 1), (200, 9), (200, 50)], 1))
def test_wire_bought_for_the_job_is_planned_within_its_steps(count: int, quantity: int) -> None:
    """A third of a second: ten times that is allowed here. 200 ends on one wire took 46 s, 60 of them a gigabyte."""
    pieces = long_wires(1, count, quantity)
    found = at_most(150, lambda: plan(pieces, BOUGHT, PAID, PRICE))
    assert all_placed(found, pieces)
    assert found.lower_bound <= found.cost


def test_a_plan_cut_short_by_its_steps_is_not_called_proven_and_costs_no_less() -> None:
    pieces = long_wires(2, 60, 1)
    few, many = (
        plan(pieces, BOUGHT, PAID, replace(PRICE, work=0)),
        plan(pieces, BOUGHT, PAID, replace(PRICE, work=some(20_000_000_000, 600_000_000))),
    )
    assert (few.proven, few.gap > 0) == (False, True)
    assert few.lower_bound <= many.lower_bound <= many.cost <= few.cost
    assert all_placed(few, pieces)


def test_equal_orders_get_equal_plans_wherever_their_steps_end() -> None:
    pieces = long_wires(3, 60, 1)
    for work in some_of((0, 600_000_000, 1_000_000, 50_000_000), 2):
        limits = replace(PRICE, work=work)
        assert plan(pieces, BOUGHT, PAID, limits) == plan(pieces, BOUGHT, PAID, limits)


def test_usual_orders_end_before_their_steps_do() -> None:
    """Up to 24 wires of a boat with ten times the steps: the same cuts."""
    for seed in range(6):
        pieces = order(seed, 24, 0, 0, PAID).pieces
        assert plan(pieces, BOUGHT, PAID, PRICE) == plan(pieces, BOUGHT, PAID, replace(PRICE, work=6_000_000_000))


class Looks:
    """A clock that moves on by a second at each look, and counts them."""

    def __init__(self) -> None:
        self.many = 0

    def __call__(self) -> float:
        self.many += 1
        return float(self.many)


@pytest.mark.parametrize(
    "asked", some_of([order(5, 30, 0, 0, PAID), order(1, 30, 3, 3, FEE), many_kinds(1), Order(long_wires(3, 60, 1), BOUGHT, PAID)], 2)
)
def test_wherever_the_seconds_end_the_plan_is_complete_and_the_clock_is_not_read_again(asked: Order) -> None:
    """By hand: a reading at the start, one for each second but the last half, one that finds the time over, and one for the report."""
    ended = 0
    for seconds in (0, 1, 3, 10, 30, 100, 300, 1000):
        clock = Looks()
        found = plan(asked.pieces, asked.stock, asked.policy, Limits(seconds=seconds + 0.5, clock=clock))
        assert all_placed(found, asked.pieces)
        assert clock.many <= seconds + 3
        ended += clock.many == seconds + 3
    assert ended >= 4  # else it ends by itself, and this shows nothing


@pytest.mark.long
def test_a_requested_plan_ends_soon_after_its_seconds() -> None:
    """Processor time for a clock, so that whatever else runs counts for little; naming the pieces of a plan, which no clock stops, is measured beside it.

    Without a limit they took 199 s and 9 s.
    """
    for asked, seconds in ((many_kinds(1), 1.0), (Order(long_wires(4, 50, 300), BOUGHT, FEE), 2.0))[: some(2, 1)]:
        _, named = spent(lambda: plan(asked.pieces, asked.stock, asked.policy, Limits(first_rung_only=True)))  # noqa: B023
        limits = Limits(seconds=seconds, clock=time.process_time)
        found, taken = spent(lambda: plan(asked.pieces, asked.stock, asked.policy, limits))  # noqa: B023
        assert taken < 1.5 * seconds + 2 * named
        assert all_placed(found, asked.pieces)


def test_the_search_for_exact_fills_frees_its_sets() -> None:
    """Bits that are held while objects are filled are counted, and given back."""
    asked = order(5, 30, 0, 0, PAID)
    job = scale(asked.pieces, asked.stock, asked.policy).job
    packer = Packer(job, [(0, kind.capacity) for kind in job.kinds for _ in range(12)][:12], 1_500, Watch(Limits()))
    free = packer.bits
    packer.run()
    assert packer.bits == free
