"""First rung: best fit decreasing over an index of open objects, then each object swapped for its cheapest kind."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator

from .job import Answer, Job, answer
from .watch import ENDLESS, Watch

#: Orders above this many piece types try fewer orders of opening.
MANY = 2_000


def first_rung(job: Job, watch: Watch = ENDLESS) -> Answer:
    """The best of a few best-fit plans, of one at least; every piece that fits any free object is placed."""
    ways = _ways(job)
    best = _plan(job, *next(ways))
    for way in ways:
        if watch.over():
            break
        best = min(best, _plan(job, *way), key=lambda found: found.rank(job))
    return best


def _ways(job: Job) -> Iterator[tuple[tuple[int, ...], bool]]:
    """(new kinds in order of opening, whether ready stock lies open from the start)."""
    new = [k for k, kind in enumerate(job.kinds) if not kind.ready]
    new.sort(key=lambda k: (job.kinds[k].cost(job.kinds[k].capacity) / job.kinds[k].length, k))
    ready = any(kind.ready for kind in job.kinds)
    for first in new[: 1 if len(job.sizes) > MANY else 6] or [-1]:
        order = tuple([k for k in new if k == first] + [k for k in new if k != first])
        yield order, True
        if ready and new:
            yield order, False


class _Packing:
    """Open objects by what they have left; `index` is sorted by (steps left, object).

    Of equal objects in `lying` kinds one untouched copy lies open at a time: as good as all of them, however many there are.
    """

    def __init__(self, job: Job, lying: Iterable[int]) -> None:
        self.job = job
        self.lying = frozenset(lying)
        self.kinds: list[int] = []
        self.content: list[list[tuple[int, int]]] = []
        self.index: list[tuple[int, int]] = []
        self.free = [kind.count for kind in job.kinds]

    def open(self, kind: int) -> None:
        self.free[kind] -= 1
        insort(self.index, (self.job.kinds[kind].capacity, len(self.kinds)))
        self.kinds.append(kind)
        self.content.append([])

    def place(self, piece: int, size: int, wanted: int) -> int:
        """Put up to `wanted` equal pieces into the tightest object; how many went in."""
        at = bisect_left(self.index, (size, -1))
        if at == len(self.index):
            return 0
        left, where = self.index.pop(at)
        kind = self.kinds[where]
        if kind in self.lying and self.free[kind] and not self.content[where]:
            self.open(kind)
        fit = min(wanted, left // size)
        self.content[where].append((piece, fit))
        insort(self.index, (left - fit * size, where))
        return fit

    def open_for(self, size: int, order: tuple[int, ...]) -> bool:
        for kind in order:
            if self.free[kind] and self.job.kinds[kind].capacity >= size:
                self.open(kind)
                return True
        return False


def _plan(job: Job, order: tuple[int, ...], ready_first: bool) -> Answer:
    ready = tuple(k for k, kind in enumerate(job.kinds) if kind.ready)
    packing = _Packing(job, ready if ready_first else ())
    for kind in ready if ready_first else ():
        if packing.free[kind]:
            packing.open(kind)
    for piece, (size, demand) in enumerate(zip(job.sizes, job.demand, strict=True)):
        left = demand
        while left:
            done = packing.place(piece, size, left)
            left -= done
            if not done and not packing.open_for(size, order + ready):
                break
    bins = [job.bin(k, c) for k, c in zip(packing.kinds, packing.content, strict=True) if c]
    return swapped(job, answer(job, bins, "best fit"))


def swapped(job: Job, found: Answer) -> Answer:
    """The same contents, each moved to the cheapest free kind that holds it, shortest contents first."""
    free = [kind.count for kind in job.kinds]
    for each in found.bins:
        free[each.kind] -= 1
    bins = []
    for each in sorted(found.bins, key=lambda b: (b.used, b.content)):
        free[each.kind] += 1
        fitting = (k for k, kind in enumerate(job.kinds) if free[k] and kind.capacity >= each.used)
        best = min(fitting, key=lambda k: (job.kinds[k].cost(each.used), k != each.kind, k))
        free[best] -= 1
        bins.append(job.bin(best, each.content))
    return answer(job, bins, found.stage)
