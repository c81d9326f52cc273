"""Generated workshop orders under step limits, without a clock: plans are as good as the goals say, whatever the machine.

The gap is to the planner's own bound, which tests/cutting/test_random_orders.py and test_published_orders.py hold to exact optima.
Times stand beside reference solvers in tests/benchmarks/cutting/goals.py.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.cutting import Limits, Piece, Policy, Stock, plan
from pricing.cutting.scaling import scale
from tests.counts import some, some_of

from .workshop import FEE, PAID, order

PERCENT = Decimal("0.01")
SEEDS = range(some(4, 2))


def gap(seed: int, pieces: int, opened: int, offcuts: int, policy: Policy) -> Decimal:
    asked = order(seed, pieces, opened, offcuts, policy)
    return plan(asked.pieces, asked.stock, asked.policy).gap_share


@pytest.mark.parametrize(
    ("pieces", "opened", "offcuts", "policy", "most"),
    some_of(
        [
            (120, 3, 12, FEE, "0.05"), (2_000, 4, 30, FEE, "0.01"), (2_000, 4, 30, PAID, "0.1"),
            (500, 3, 20, FEE, "0.05"), (500, 3, 20, PAID, "0.05"), (120, 3, 12, PAID, "0.02"),
        ],
        2,
    ),
)  # fmt: skip
def test_a_large_order_is_within_the_stated_percent_of_its_bound(pieces: int, opened: int, offcuts: int, policy: Policy, most: str) -> None:
    assert max(gap(seed, pieces, opened, offcuts, policy) for seed in SEEDS) <= Decimal(most) * PERCENT


@pytest.mark.parametrize("policy", [FEE, PAID], ids=["fee", "paid"])
def test_orders_of_up_to_twelve_pieces_are_proven(policy: Policy) -> None:
    asked = [order(seed, pieces, 2, 8, policy) for pieces in range(2, 13) for seed in SEEDS]
    assert all(plan(each.pieces, each.stock, each.policy).proven for each in asked)


@pytest.mark.parametrize("pieces", [28, 60])
def test_middling_orders_of_whole_millimetres_are_within_the_stated_percent_by_exact_fills_alone(pieces: int) -> None:
    """Full objects are filled to the millimetre and all of the remnant is on one of them: quick enough for a request, without columns."""
    for seed in SEEDS:
        asked = order(seed, pieces, 3, 8, FEE)
        whole = [replace(piece, length=round(piece.length, 0)) for piece in asked.pieces]
        assert plan(whole, asked.stock, asked.policy, Limits(column_rounds=0)).gap_share <= Decimal("0.05") * PERCENT


def test_a_piece_type_is_listed_once_in_an_object_however_the_object_was_filled() -> None:
    """An exact fill takes long pieces first and may end with more of the same; the linear programme's solver refuses two entries."""
    asked = order(0, 3, 0, 0, PAID)
    job = scale(asked.pieces, asked.stock, asked.policy).job
    assert job.bin(0, [(2, 1), (0, 1), (2, 3), (1, 0)]).content == ((0, 1), (2, 4))


def test_the_quick_bound_of_one_part_used_spool_is_its_cost() -> None:
    """By hand: 20 m at 6.00, the touch cost of 1.50 and the fee of 3.00 for the remnant; a fluid could not cost less."""
    spool = Stock("spool", Decimal(100_000), price_per_metre=Decimal(6), count=None)
    policy = Policy(touch=Decimal("1.50"), remnant_fee=Decimal(3))
    found = plan([Piece(Decimal(4000), 5)], [spool], policy, Limits(first_rung_only=True))
    assert (found.cost, found.lower_bound, found.proven) == (Decimal("124.50"), Decimal("124.50"), True)
