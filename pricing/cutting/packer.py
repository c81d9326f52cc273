"""Fills several objects at once, by a node-limited search over exact windows of waste.

All objects together have steps to spare. Of these, the objects before the last may waste `slack`: first none, so that all of the waste is
on the last one, then a little, then all. The shortest is filled first, with every content whose waste the slack still covers; sets of
reachable sums show which branches can end in that window.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .job import Bin, Job
from .watch import Watch

#: Larger orders have so many exact fills that no search is needed.
MOST = 64
#: Bits of all reachable sets of one object.
_BITS = 60_000_000
#: Bits of the reachable sets of all objects being filled at the same time.
_ALL_BITS = 480_000_000
#: Steps per node, and bits of a long integer inspected per step.
_NODE, _LOOKED, _SHIFTED = 3_000, 20, 10
#: Divisor of the spare length that gives the intermediate slack.
_LITTLE = 50


class Packer:
    """Search for bins on exactly these (kind, limit) objects that hold all pieces."""

    def __init__(self, job: Job, objects: Sequence[tuple[int, int]], nodes: int, watch: Watch) -> None:
        self.job, self.most, self.nodes, self.watch = job, nodes, nodes, watch
        self.bits = _ALL_BITS
        self.objects = sorted(objects[:-1], key=lambda entry: entry[1]) + list(objects[-1:])

    def run(self) -> list[list[Bin]]:
        """Bins for each slack for which the search succeeds within its nodes."""
        slack = sum(limit for _, limit in self.objects) - self.job.total
        counts = [0] * len(self.job.kinds)
        for kind, _ in self.objects:
            counts[kind] += 1
        if slack < 0 or any(n > k.count for n, k in zip(counts, self.job.kinds, strict=True)):
            return []
        packings = []
        for wasted in sorted({0, slack // _LITTLE, slack}):
            if self.watch.over():
                break
            self.nodes = self.most
            bins = self._place(0, list(self.job.demand), wasted)
            if bins is not None:
                packings.append(bins)
        return packings

    def _place(self, at: int, left: list[int], slack: int) -> list[Bin] | None:
        kind, limit = self.objects[at]
        if at == len(self.objects) - 1:
            last = self.job.bin(kind, enumerate(left))
            return [last] if last.used <= limit else None
        for content, used in self._contents(left, limit, slack):
            if limit - used > slack:
                continue
            rest = [n - m for n, m in zip(left, content, strict=True)]
            below = self._place(at + 1, rest, slack - (limit - used))
            if below is not None:
                return [self.job.bin(kind, enumerate(content)), *below]
            if self.nodes <= 0:
                break
        return None

    def _contents(self, left: list[int], limit: int, slack: int) -> Iterator[tuple[list[int], int]]:
        types = [i for i, n in enumerate(left) if n and self.job.sizes[i] <= limit]
        bits = limit * sum(min(left[i], limit // self.job.sizes[i]) for i in types)
        if bits > min(_BITS, self.bits):
            return
        self.bits -= bits
        reach = self._reach(types, left, limit)
        content = [0] * len(left)

        def go(depth: int, used: int) -> Iterator[tuple[list[int], int]]:
            self.nodes -= 1
            self.watch.work(_NODE)
            if self.nodes <= 0 or self.watch.over():
                self.nodes = 0
                return
            if depth == len(types):
                yield list(content), used
                return
            piece = types[depth]
            size = self.job.sizes[piece]
            for many in range(min(left[piece], (limit - used) // size), -1, -1):
                now = used + many * size
                self.watch.work((limit - now) // _LOOKED)
                low = max(0, limit - slack - now)
                if reach[depth + 1] >> low & ((1 << (limit - now - low + 1)) - 1):
                    content[piece] = many
                    yield from go(depth + 1, now)
            content[piece] = 0

        try:
            yield from go(0, 0)
        finally:
            reach.clear()  # `go` refers to itself, so its closure would not be freed immediately
            self.bits += bits

    def _reach(self, types: Sequence[int], left: Sequence[int], limit: int) -> list[int]:
        """Reachable sums of the types from each depth on."""
        mask, reach = (1 << (limit + 1)) - 1, 1
        sets = [reach]
        for i in reversed(types):
            many = min(left[i], limit // self.job.sizes[i])
            self.watch.work(many * (limit // _SHIFTED))
            for _ in range(many):
                reach |= (reach << self.job.sizes[i]) & mask
            sets.append(reach)
        return sets[::-1]
