"""Pricing by an exact integer knapsack: the best contents for each kind under a set of piece values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .job import Bin, Ints, Job


@dataclass(frozen=True, slots=True)
class Priced:
    """For each kind, the least (cost - value) of any content, and a few bins that come close to it."""

    least: tuple[int, ...]
    bins: tuple[Bin, ...]


class Knapsack:
    """Bounded knapsack over steps: `best[u]` is the greatest value of pieces that take at most u steps."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.capacity = max((k.capacity for k in job.kinds if k.count), default=0)
        self.chunks = list(self._split())
        self.taken: npt.NDArray[np.bool_] = np.zeros((0, 0), dtype=np.bool_)
        self.costs: list[Ints] = []

    def _prepare(self) -> None:
        self.taken = np.zeros((len(self.chunks), self.capacity + 1), dtype=np.bool_)
        self.costs = [
            k.costs(np.arange(k.capacity + 1, dtype=np.int64)) if k.count else np.zeros(0, dtype=np.int64) for k in self.job.kinds
        ]

    @property
    def work(self) -> int:
        """Steps taken by one pricing."""
        return len(self.chunks) * (self.capacity + 1)

    @property
    def width(self) -> int:
        """Steps of all kinds together, which are held in memory."""
        return sum(kind.capacity + 1 for kind in self.job.kinds if kind.count)

    def _split(self) -> Iterator[tuple[int, int]]:
        """(piece type, count) chunks whose sums reach every count that fits."""
        for piece, (size, demand) in enumerate(zip(self.job.sizes, self.job.demand, strict=True)):
            left, many = min(demand, self.capacity // size), 1
            while left > 0:
                yield piece, min(many, left)
                left -= many
                many *= 2

    def price(self, values: Sequence[int], wanted: int) -> Priced:
        """Price every kind under values per piece type: its least (cost - value), and up to `wanted` bins of negative (cost - value)."""
        if not self.costs:
            self._prepare()
        best = self._fill(values)
        least, bins = [], []
        for k, costs in enumerate(self.costs):
            if not len(costs):
                least.append(0)
                continue
            net = costs - best[: len(costs)]
            least.append(int(net.min()))
            bins += self._contents(k, net, wanted)
        return Priced(tuple(least), tuple(bins))

    def _fill(self, values: Sequence[int]) -> Ints:
        best = np.zeros(self.capacity + 1, dtype=np.int64)
        self.taken[:] = False
        for row, (piece, many) in enumerate(self.chunks):
            size, value = many * self.job.sizes[piece], many * values[piece]
            if value > 0:
                with_it = best[: self.capacity + 1 - size] + value
                np.greater(with_it, best[size:], out=self.taken[row, size:])
                np.maximum(best[size:], with_it, out=best[size:])
        return best

    def _contents(self, kind: int, net: Ints, wanted: int) -> list[Bin]:
        at = np.flatnonzero(net < 0)
        if len(at) > 4 * wanted:
            at = at[np.argpartition(net[at], wanted)[: 4 * wanted]]
        by_content: dict[tuple[tuple[int, int], ...], Bin] = {}
        for use in sorted(at.tolist(), key=lambda u: (int(net[u]), u)):
            if len(by_content) < wanted:
                bin_ = self._content(kind, use)
                by_content.setdefault(bin_.content, bin_)
        return list(by_content.values())

    def _content(self, kind: int, use: int) -> Bin:
        content: dict[int, int] = {}
        for row in range(len(self.chunks) - 1, -1, -1):
            if self.taken[row, use]:
                piece, many = self.chunks[row]
                content[piece] = content.get(piece, 0) + many
                use -= many * self.job.sizes[piece]
        return self.job.bin(kind, content.items())
