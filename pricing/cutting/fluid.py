"""Quick bound R: the least cost of stock that holds a gross length, pieces flowing like water.

On each touched object the cost rises with slope value/length while the rest is kept, may jump where it
becomes too short to keep, and is flat from there. Of two objects both inside their slope, moving length to the
cheaper slope never costs more; so in a best fluid plan at most one object lies inside its slope, and
every other is *full* or *kept at its least rest*. R is exact for that model, and not convex.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .job import Ints, Job, Kind

#: Points kept on a front; more are merged so that the bound only sinks.
POINTS = 6_000


@dataclass(frozen=True, slots=True)
class Item:
    """A way to cover `length` steps at `cost`, at most `count` times."""

    length: int
    cost: int
    count: int


@dataclass(frozen=True, slots=True)
class Slope:
    """One object used in part: `start` plus value/length for each step, up to `reach` steps."""

    start: int
    value: int
    length: int
    step: int
    reach: int

    def least(self, over: Ints) -> Ints:
        """Lower bound of the cost of so many steps."""
        return self.start + over * self.step * self.value // self.length


@dataclass(frozen=True, slots=True)
class Front:
    """Cover `lengths` at `costs`, both rising; the last length is the need itself."""

    lengths: Ints
    costs: Ints


def items(kinds: Sequence[Kind], reach: Sequence[int]) -> list[Item]:
    """Full and least-rest uses; `reach` is the most steps of each kind that pieces can fill."""
    made = []
    for kind, top in zip(kinds, reach, strict=True):
        if top > 0:
            made.append(Item(top, kind.cost(top), kind.count))
        if 0 < kind.kept_capacity < top:
            made.append(Item(kind.kept_capacity, _slope(kind).least_of(kind.kept_capacity), kind.count))
    return made


def slopes(kinds: Sequence[Kind]) -> list[Slope]:
    """The sloping part of each kind that has one."""
    return [_slope(kind).slope for kind in kinds if kind.kept_capacity > 0]


@dataclass(frozen=True, slots=True)
class _Sloping:
    slope: Slope

    def least_of(self, used: int) -> int:
        return self.slope.start + used * self.slope.step * self.slope.value // self.slope.length


def _slope(kind: Kind) -> _Sloping:
    return _Sloping(Slope(kind.touch + (kind.fee or 0), kind.value, kind.length, kind.step, kind.kept_capacity))


def front(ways: Sequence[Item], need: int) -> Front:
    """Least cost of covering each length up to `need`, as a front of (length, cost)."""
    lengths, costs = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64)
    for way in ways:
        for many in _binary(min(way.count, -(-need // way.length))):
            longer = np.minimum(lengths + many * way.length, need)
            lengths, costs = _pruned(
                np.concatenate((lengths, longer)), np.concatenate((costs, costs + many * way.cost))
            )
    return Front(lengths, costs)


def _binary(count: int) -> list[int]:
    """1, 2, 4, ... and a remainder: their partial sums reach every number up to `count`."""
    made, many = [], 1
    while count > 0:
        made.append(min(many, count))
        count -= many
        many *= 2
    return made


def _pruned(lengths: Ints, costs: Ints) -> tuple[Ints, Ints]:
    order = np.lexsort((costs, -lengths))
    lengths, costs = lengths[order], costs[order]
    best = np.minimum.accumulate(costs)
    keep = np.concatenate(([True], costs[1:] < best[:-1]))
    lengths, costs = lengths[keep][::-1], costs[keep][::-1]
    if len(lengths) > POINTS:
        every = np.append(np.arange(0, len(lengths) - 1, -(-len(lengths) // POINTS)), len(lengths))
        lengths, costs = lengths[every[1:] - 1], costs[every[:-1]]
    return lengths, costs


def least_cost(cover: Front, sloping: Sequence[Slope], need: int) -> int:
    """R(need), for a need up to the front's own; a huge number where the stock cannot hold it."""
    enough = cover.costs[cover.lengths >= need]
    best = int(enough[0]) if len(enough) else 1 << 61
    for slope in sloping:
        over = need - cover.lengths
        inside = (over >= 0) & (over <= slope.reach)
        if inside.any():
            best = min(best, int((cover.costs[inside] + slope.least(over[inside])).min()))
    return best


def quick_bound(job: Job, reach: Sequence[int] | None = None) -> int:
    """No plan of all pieces costs less than this."""
    if not job.pieces:
        return 0
    tops = [kind.capacity for kind in job.kinds] if reach is None else reach
    return least_cost(front(items(job.kinds, tops), job.total), slopes(job.kinds), job.total)
