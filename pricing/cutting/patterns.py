"""Enumerates all bins that a cheaper plan could use, if there are few enough.

With safe piece values, the cost of a plan is its bound plus, for each bin, the excess of its cost over its pieces' values and its kind's
least. So a bin whose excess is larger than the gap is not part of any cheaper plan.
"""

from __future__ import annotations

from .columns import Generated
from .job import Bin, Job


class TooMany(Exception):
    """More bins than the limit."""


def useful_bins(job: Job, state: Generated, ceiling: int, limit: int) -> list[Bin] | None:
    """Every bin that a plan below the ceiling can use, or None if there are more than `limit`.

    If no remnant has a value, only bins without room for another piece are listed: a plan may hold spare pieces.
    """
    useful: list[Bin] = []
    steps = [40 * limit]
    try:
        for k, kind in enumerate(job.kinds):
            if kind.count:
                slack = ceiling - state.raw + min(0, state.least[k])
                useful += _Search(job, k, state.values, slack, limit - len(useful), steps).run()
    except TooMany:
        return None
    return useful


class _Search:
    """Depth-first search over piece types, longest first."""

    def __init__(self, job: Job, kind: int, values: list[int], slack: int, limit: int, steps: list[int]) -> None:
        self.job, self.kind, self.values = job, kind, values
        self.slack, self.limit, self.steps = slack, limit, steps
        self.stock = job.kinds[kind]
        self.maximal = self.stock.kept_capacity <= 0
        self.bins: list[Bin] = []
        self.counts = [0] * len(job.sizes)
        ratios = [v / s for v, s in zip(values, job.sizes, strict=True)]
        self.ahead = [max(ratios[n:], default=0.0) * (1 + 1e-9) for n in range(len(ratios) + 1)]

    def run(self) -> list[Bin]:
        self._go(0, 0, 0)
        return self.bins

    def _go(self, piece: int, used: int, value: int) -> None:
        self.steps[0] -= 1
        if self.steps[0] < 0 or len(self.bins) > self.limit:
            raise TooMany
        left = self.stock.capacity - used
        if self.stock.cost(used) - value - self.ahead[piece] * left - 1 >= self.slack:
            return
        if piece == len(self.counts) or left < self.job.sizes[-1]:
            self._keep(used, value, left)
            return
        size = self.job.sizes[piece]
        for many in range(min(self.job.demand[piece], left // size), -1, -1):
            self.counts[piece] = many
            self._go(piece + 1, used + many * size, value + many * self.values[piece])
        self.counts[piece] = 0

    def _keep(self, used: int, value: int, left: int) -> None:
        if not used or self.stock.cost(used) - value >= self.slack or (self.maximal and self._room(left)):
            return
        self.bins.append(self.job.bin(self.kind, enumerate(self.counts)))

    def _room(self, left: int) -> bool:
        sizes, demand = self.job.sizes, self.job.demand
        return any(s <= left and n < d for s, d, n in zip(sizes, demand, self.counts, strict=True))
