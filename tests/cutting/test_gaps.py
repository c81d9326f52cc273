"""Generated workshop orders under step limits, without a clock: plans are as good as the goals say, whatever the machine.

The gap is to the planner's own bound, which tests/cutting/test_random_orders.py and test_published_orders.py hold to exact optima.
Times stand beside reference solvers in tests/benchmarks/cutting/goals.py.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import groupby

import pytest

from pricing.cutting import Limits, Policy, plan
from pricing.cutting.fills import better_fills
from pricing.cutting.greedy import first_rung
from pricing.cutting.scaling import scale

from .workshop import FEE, PAID, order

PERCENT = Decimal("0.01")
SEEDS = range(4)


def gap(seed: int, pieces: int, opened: int, offcuts: int, policy: Policy) -> Decimal:
    asked = order(seed, pieces, opened, offcuts, policy)
    return plan(asked.pieces, asked.stock, asked.policy).gap_share


@pytest.mark.parametrize(
    ("pieces", "opened", "offcuts", "policy", "most"),
    [
        (120, 3, 12, FEE, "0.05"), (120, 3, 12, PAID, "0.02"), (500, 3, 20, FEE, "0.05"), (500, 3, 20, PAID, "0.05"),
        (2_000, 4, 30, FEE, "0.01"), (2_000, 4, 30, PAID, "0.1"),
    ],
)  # fmt: skip
def test_a_large_order_is_within_the_stated_percent_of_its_bound(pieces: int, opened: int, offcuts: int, policy: Policy, most: str) -> None:
    assert max(gap(seed, pieces, opened, offcuts, policy) for seed in SEEDS) <= Decimal(most) * PERCENT


@pytest.mark.parametrize("policy", [FEE, PAID], ids=["fee", "paid"])
def test_orders_of_up_to_twelve_pieces_are_proven(policy: Policy) -> None:
    asked = [order(seed, pieces, 2, 8, policy) for pieces in range(2, 13) for seed in SEEDS]
    assert all(plan(each.pieces, each.stock, each.policy).proven for each in asked)


def test_a_piece_type_stands_once_in_an_object_however_the_object_was_filled() -> None:
    """Two entries of one type in a column are refused by the linear programme's solver."""
    for seed in SEEDS:
        asked = order(seed, 120, 3, 12, PAID)
        job = scale(asked.pieces * 9, asked.stock, asked.policy).job
        for each in better_fills(job, first_rung(job), Limits(), lambda: False).bins:
            types = [piece for piece, _ in each.content]
            assert [piece for piece, _ in groupby(types)] == sorted(set(types))
