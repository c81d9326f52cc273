"""A strong lower bound: the linear relaxation over all bins, by column generation, made safe with integers.

For any integer piece values p: cost >= sum(p * demand) + sum over kinds of count * min(0, least(cost - value)). This holds regardless of
floating-point error, because the least is found by an exact knapsack. The set of costs that plans can have at all (sums of whole objects,
if no remnant has a value) then lifts the bound to the next such sum.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import gcd

import numpy as np

from .job import Bin, Ints, Job
from .knapsack import Knapsack, Priced
from .master import Master, Relaxed
from .watch import Watch

#: Beyond this many sums they lie too close together to improve the bound.
_SUMS = 200_000


@dataclass
class Generated:
    """State of the column generation: the safe bound, all columns and the last relaxation; `done` if it is optimal.

    `bound` is `raw`, the best bound of the piece values, raised to the next cost that a plan can have. `values`, by piece type, and `least`,
    by kind, belong to that bound: a bin that costs more than its pieces' values plus its kind's least plus (a plan's cost - `raw`) is not
    part of any cheaper plan.
    """

    bound: int
    raw: int
    values: list[int]
    least: tuple[int, ...]
    columns: list[Bin]
    relaxed: Relaxed | None
    done: bool


def safe_bound(job: Job, values: Sequence[int], least: Sequence[int]) -> int:
    """The lower bound on the cost given by values per piece type and the least (cost - value) of a bin per kind."""
    worth = sum(p * d for p, d in zip(values, job.demand, strict=True))
    return worth + sum(kind.count * min(0, low) for kind, low in zip(job.kinds, least, strict=True))


class Possible:
    """The costs that plans can have at all, up to a ceiling, the cost of a known plan; computed on first use."""

    def __init__(self, job: Job, ceiling: int) -> None:
        kinds = [kind for kind in job.kinds if kind.count]
        self.ceiling = ceiling
        self.costs = [(kind.touch + kind.value, kind.count) for kind in kinds]
        self.unit = 0 if any(kind.kept_capacity > 0 for kind in kinds) else gcd(*(cost for cost, _ in self.costs))

    @cached_property
    def _reached(self) -> Ints | None:
        return _sums([(cost // self.unit, count) for cost, count in self.costs], self.ceiling // self.unit)

    def least(self, bound: int) -> int:
        """The least possible cost not below the bound."""
        if bound <= 0 or bound >= self.ceiling or not self.unit:
            return bound
        if self._reached is None:
            return -(-bound // self.unit) * self.unit
        at = int(np.searchsorted(self._reached, -(-bound // self.unit)))
        return int(self._reached[at]) * self.unit if at < len(self._reached) else self.ceiling


def _sums(costs: Sequence[tuple[int, int]], ceiling: int) -> Ints | None:
    """All sums of whole objects up to the ceiling, or None if there are too many."""
    reached = np.zeros(1, dtype=np.int64)
    for cost, count in costs:
        many = min(count, ceiling // cost) if cost else 0
        if len(reached) * (many + 1) > _SUMS:
            return None
        sums = np.add.outer(reached, cost * np.arange(many + 1, dtype=np.int64)).ravel()
        reached = np.unique(sums[sums <= ceiling])
    return reached


def generate(job: Job, columns: Sequence[Bin], goal: int, rounds: int, watch: Watch, wanted: int = 3) -> Generated:
    """Add columns until the relaxation is optimal, the bound reaches `goal`, a limit is reached or the rounds are used up.

    `wanted` is the most new columns per kind and round.
    """
    state = Generated(0, 0, [0] * len(job.sizes), (0,) * len(job.kinds), [], None, False)
    if not job.pieces or not any(kind.count for kind in job.kinds):
        return state
    knapsack, master, possible = Knapsack(job), Master(job, columns, watch), Possible(job, goal)
    seen = set(columns)
    for _ in range(rounds):
        state.relaxed = master.relax()
        if state.relaxed is None:
            break
        values = [int(v) for v in state.relaxed.values]
        priced = knapsack.price(values, wanted)
        watch.spend(knapsack.work + 2 * knapsack.width)
        raw = safe_bound(job, values, priced.least)
        if raw > state.raw:
            state.raw, state.values, state.least = raw, values, priced.least
            state.bound = possible.least(raw)
        fresh = [column for column in priced.bins if column not in seen]
        if state.bound >= goal or not fresh or watch.over():
            state.done = not fresh
            break
        seen.update(fresh)
        master.add(fresh)
    state.columns = master.columns
    return state


__all__ = ["Generated", "Possible", "Priced", "generate", "safe_bound"]
