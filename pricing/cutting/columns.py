"""Strong bound: the linear programme over all bins, by column generation, made safe in integers.

For any whole piece values p: cost >= sum(p * demand) + sum over kinds of count * min(0, least(cost - value)).
That holds whatever the floats say, because the least is an exact knapsack. What plans can cost at all
(sums of whole objects where no rest has a value) then lifts the bound to the next such sum.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import gcd

from .job import Bin, Job
from .knapsack import Knapsack, Priced
from .master import Master, Relaxed

_SUMS = 4_000_000


@dataclass
class Generated:
    """Where column generation stands: the safe bound, all columns, the last relaxation; `done` if it is optimal."""

    bound: int
    columns: list[Bin]
    relaxed: Relaxed | None
    done: bool


def safe_bound(job: Job, values: Sequence[int], least: Sequence[int]) -> int:
    """The integer bound of these values."""
    worth = sum(p * d for p, d in zip(values, job.demand, strict=True))
    return worth + sum(kind.count * min(0, low) for kind, low in zip(job.kinds, least, strict=True))


def possible_cost(job: Job, bound: int) -> int:
    """The least cost at or above the bound that any plan can have."""
    kinds = [kind for kind in job.kinds if kind.count]
    if bound <= 0 or any(kind.kept_capacity > 0 for kind in kinds):
        return bound
    costs = [kind.touch + kind.value for kind in kinds]
    unit = gcd(*costs)
    if not unit:
        return bound
    need = -(-bound // unit)
    limit = need + max(costs) // unit
    if limit > _SUMS:
        return need * unit
    reach = 1
    mask = (1 << (limit + 1)) - 1
    for kind, cost in zip(kinds, costs, strict=True):
        reach = _multiples(reach, cost // unit, kind.count, mask)
    above = reach >> need
    return (need + (above & -above).bit_length() - 1) * unit if above else need * unit


def _multiples(reach: int, cost: int, count: int, mask: int) -> int:
    """Sums reachable with up to `count` more objects of this cost."""
    many = 1
    while count > 0 and cost * min(many, count) <= mask.bit_length():
        reach |= (reach << cost * min(many, count)) & mask
        count -= many
        many *= 2
    return reach


def generate(
    job: Job, columns: Sequence[Bin], goal: int, rounds: int, over: Callable[[], bool], wanted: int = 3
) -> Generated:
    """Add columns until the relaxation is optimal, the bound reaches `goal`, or the rounds are used up."""
    state = Generated(0, [], None, False)
    if not job.pieces or not any(kind.count for kind in job.kinds):
        return state
    knapsack, master = Knapsack(job), Master(job, columns)
    seen = set(columns)
    for _ in range(rounds):
        state.relaxed = master.relax()
        if state.relaxed is None:
            break
        values = [int(v) for v in state.relaxed.values]
        priced = knapsack.price(values, wanted)
        state.bound = max(state.bound, possible_cost(job, safe_bound(job, values, priced.least)))
        fresh = [each for each in priced.bins if each not in seen]
        if state.bound >= goal or not fresh or over():
            state.done = not fresh
            break
        seen.update(fresh)
        master.add(fresh)
    state.columns = master.columns
    return state


__all__ = ["Generated", "Priced", "generate", "possible_cost", "safe_bound"]
