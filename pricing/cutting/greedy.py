"""First rung: best fit decreasing over an index of open objects, then each object is swapped for the cheapest kind."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator

from .job import Answer, Job, answer
from .watch import ENDLESS, Watch

#: Orders with more piece types than this try fewer opening orders.
MANY = 2_000
#: Steps for placing one piece type, and for comparing the cost of a content on one kind.
_PLACED, _COMPARED = 4_000, 500


def first_rung(job: Job, watch: Watch = ENDLESS) -> Answer:
    """The best of a few best-fit plans, at least one; every piece that fits any free object is placed."""
    ways = _ways(job)
    best = _plan(job, *next(ways), watch)
    for way in ways:
        if watch.over():
            break
        best = min(best, _plan(job, *way, watch), key=lambda a: a.rank(job))
    return best


def _ways(job: Job) -> Iterator[tuple[tuple[int, ...], bool]]:
    """(new kinds in opening order, whether ready stock is open from the start)."""
    new = [k for k, kind in enumerate(job.kinds) if not kind.ready]
    new.sort(key=lambda k: (job.kinds[k].cost(job.kinds[k].capacity) / job.kinds[k].length, k))
    ready = any(kind.ready for kind in job.kinds)
    for first in new[: 1 if len(job.sizes) > MANY else 6] or [-1]:
        order = tuple([k for k in new if k == first] + [k for k in new if k != first])
        yield order, True
        if ready and new:
            yield order, False


class _Packing:
    """Open objects by remaining length; `index` is sorted by (steps left, object).

    Of equal objects of `lying` kinds, only one untouched copy is open at a time: as good as having all of them open, however many there
    are.
    """

    def __init__(self, job: Job, ready: Iterable[int]) -> None:
        self.job = job
        self.ready = frozenset(ready)
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
        """Put up to `wanted` equal pieces into the tightest object; returns how many went in."""
        at = bisect_left(self.index, (size, -1))
        if at == len(self.index):
            return 0
        left, where = self.index.pop(at)
        kind = self.kinds[where]
        if kind in self.ready and self.free[kind] and not self.content[where]:
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


def _plan(job: Job, order: tuple[int, ...], ready_first: bool, watch: Watch) -> Answer:
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
    watch.work((len(job.sizes) + len(bins)) * _PLACED)
    return swapped(job, answer(job, bins, "best fit"), watch)


def swapped(job: Job, solution: Answer, watch: Watch) -> Answer:
    """The same contents, each moved to the cheapest free kind that holds it, shortest contents first.

    Contents are left as they are once a limit is reached.
    """
    free = [kind.count for kind in job.kinds]
    for bin_ in solution.bins:
        free[bin_.kind] -= 1
    bins = []
    used, ranked = -1, list[tuple[int, int]]()
    for bin_ in sorted(solution.bins, key=lambda b: (b.used, b.content)):
        if watch.over():
            bins.append(bin_)
            continue
        if bin_.used != used:  # there may be thousands of equal contents
            used, ranked = bin_.used, sorted((kind.cost(bin_.used), k) for k, kind in enumerate(job.kinds) if kind.capacity >= bin_.used)
            watch.work(len(job.kinds) * _COMPARED)
        free[bin_.kind] += 1
        least, best = next((cost, k) for cost, k in ranked if free[k])
        if job.kinds[bin_.kind].cost(bin_.used) == least:
            best = bin_.kind
        free[best] -= 1
        bins.append(job.bin(best, bin_.content))
    return answer(job, bins, solution.stage)
