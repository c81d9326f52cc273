"""Third rung: the objects of the best fluid plans, each filled exactly by a subset sum.

The set of reachable sums is a Python integer: bit n stands for a use of n steps. Longer pieces go first, so that the short ones are left
to make the last fills exact.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence

from .fluid import IMPOSSIBLE, Cover, Fluid
from .greedy import first_rung, swapped
from .job import Answer, Job, answer, remaining_job
from .model import Limits
from .packer import MOST, Packer
from .watch import Watch

#: Number of pieces that an exact fill chooses from, and how many of average length it leaves room for.
CHOICE = 44
ROOM = 7
_BITS = 40_000_000
#: Bits of a reachable set processed per step when adding a piece: three passes over a long integer.
_SHIFTED = 10
#: Steps for choosing the pieces of one exact end.
_CHOSEN = 50_000


def sums(sizes: Sequence[int], limit: int) -> list[int]:
    """The sets of reachable sums, none above `limit`, before the first piece and after each; stops once `limit` itself is reachable."""
    mask, reach = (1 << (limit + 1)) - 1, 1
    sets = [reach]
    for size in sizes:
        reach |= (reach << size) & mask
        sets.append(reach)
        if reach >> limit:
            break
    return sets


def reachable(job: Job, limits: Sequence[int]) -> list[int]:
    """For each limit, the longest use that pieces can make up exactly, or the limit itself if that is too expensive to compute."""
    top = max((limit for limit in set(limits) if _few(job, limit)), default=0)
    mask, reach = (1 << (top + 1)) - 1, 1
    for size in _singles(job, top):
        reach |= (reach << size) & mask
    longest = {limit: (reach & ((1 << (limit + 1)) - 1)).bit_length() - 1 for limit in set(limits) if limit <= top}
    return [longest.get(limit, limit) for limit in limits]


def _few(job: Job, limit: int) -> bool:
    """Whether all sums of pieces within the limit are cheap to compute; counting stops as soon as they are not."""
    most = _BITS // max(1, limit)
    for piece in range(bisect_left(job.sizes, -limit, key=lambda size: -size), len(job.sizes)):
        most -= min(job.demand[piece], limit // job.sizes[piece])
        if most < 0:
            return False
    return True


def _singles(job: Job, limit: int) -> list[int]:
    return [s for s, d in zip(job.sizes, job.demand, strict=True) for _ in range(min(d, limit // s))]


class Shelf:
    """The remaining pieces of each type while objects are filled.

    `left` counts them by type; `_next` leads from a type that is used up to a later one.
    """

    def __init__(self, job: Job, watch: Watch) -> None:
        self.job, self.watch, self.left = job, watch, list(job.demand)
        self.pieces, self.total = job.pieces, job.total
        self.types = len(self.left)
        self._next = list(range(self.types + 1))
        self._falling = [-size for size in job.sizes]
        for piece, many in enumerate(job.demand):
            if not many:
                self._drop(piece)

    def _drop(self, piece: int) -> None:
        self._next[piece] = piece + 1
        self.types -= 1

    def next(self, piece: int) -> int:
        """The first type from here on with pieces left, or the number of types if there is none."""
        ahead = self._next
        while ahead[piece] != piece:
            ahead[piece] = ahead[ahead[piece]]
            piece = ahead[piece]
        return piece

    def longest(self, limit: int) -> int:
        """The longest type with pieces left that does not exceed the limit, or the number of types if there is none."""
        return self.next(bisect_left(self._falling, -limit))

    def take(self, piece: int, many: int) -> None:
        """Remove `many` pieces of a type."""
        self.left[piece] -= many
        self.pieces -= many
        self.total -= many * self.job.sizes[piece]
        if not self.left[piece]:
            self._drop(piece)

    def fill(self, limit: int) -> list[tuple[int, int]]:
        """Take pieces for one object of `limit` steps: the longest ones first, then a choice that fills it exactly; (type, count) pairs."""
        content: list[tuple[int, int]] = []
        room = ROOM * self.total // max(1, self.pieces)
        while self.pieces > CHOICE and limit > room:
            piece = self.longest(limit - room)
            if piece == len(self.left):
                break
            many = min(self.left[piece], (limit - room) // self.job.sizes[piece])
            self.take(piece, many)
            content.append((piece, many))
            limit -= many * self.job.sizes[piece]
        return content + self._end(limit)

    def _end(self, limit: int) -> list[tuple[int, int]]:
        chosen = self._choice(limit)
        self.watch.work(_CHOSEN + len(chosen) * (limit // _SHIFTED))
        steps = sums([self.job.sizes[piece] for piece in chosen], limit)
        at = steps[-1].bit_length() - 1
        content: dict[int, int] = {}
        for n in range(len(steps) - 1, 0, -1):
            piece = chosen[n - 1]
            if not steps[n - 1] >> at & 1:
                at -= self.job.sizes[piece]
                content[piece] = content.get(piece, 0) + 1
        for piece, many in content.items():
            self.take(piece, many)
        return list(content.items())

    def _choice(self, limit: int) -> list[int]:
        """Individual pieces to choose from, longest first, spread evenly if there are many."""
        piece, last = self.longest(limit), len(self.left)
        stride = (last - piece) / CHOICE if self.types > CHOICE else 0
        types = []
        mark = float(piece)
        while piece < last:
            types.append(piece)
            mark += stride
            piece = self.next(min(last, max(piece + 1, int(mark))))
        fitting = [min(self.left[p], limit // self.job.sizes[p]) for p in types]
        most = 1
        while sum(min(many, most) for many in fitting) < min(CHOICE, sum(fitting)):
            most += 1
        return [p for p, many in zip(types, fitting, strict=True) for _ in range(min(many, most))]


def filled(job: Job, objects: Sequence[tuple[int, int]], watch: Watch, *, shortest_first: bool) -> Answer:
    """The plan that fills these (kind, limit) objects one after another, the last of them last.

    Pieces that do not fit, or are left once a limit is reached, are placed on the remaining stock by best fit.
    """
    shelf = Shelf(job, watch)
    order = sorted(objects[:-1], key=lambda entry: entry[1], reverse=not shortest_first)
    copies: Counter[int] = Counter()
    bins = []
    for kind, limit in [*order, *objects[-1:]]:
        if watch.over():
            break
        if copies[kind] < job.kinds[kind].count and (content := shelf.fill(limit)):
            copies[kind] += 1
            bins.append(job.bin(kind, content))
    remaining = first_rung(remaining_job(job, bins, shelf.left), watch).bins if shelf.pieces else ()
    return swapped(job, answer(job, [*bins, *remaining], "exact fills"), watch)


def better_fills(job: Job, best: Answer, limits: Limits, watch: Watch) -> Answer:
    """The best plan along the fluid plans, at worst `best`: first on spools alone, then on all stock, as a good plan keeps the fronts short."""
    reach = reachable(job, [kind.capacity for kind in job.kinds])
    spools = [top if kind.unlimited else 0 for top, kind in zip(reach, job.kinds, strict=True)]
    for tops in (spools, reach) if any(spools) and spools != reach else (reach,):
        best = _along(job, tops, best, limits, watch)
    return best


def _along(job: Job, reach: Sequence[int], best: Answer, limits: Limits, watch: Watch) -> Answer:
    """Try fluid plans with increasing spare length while they cost less than the best plan: first in wide strides, then one by one."""
    most = 3 * job.sizes[0]
    ceiling = IMPOSSIBLE if any(best.left) else best.cost
    cover = Cover(job, reach, job.total, job.total + most, ceiling, real=True, watch=watch)
    if not cover.complete:
        return best
    seen: set[tuple[tuple[int, int], ...]] = set()
    for wide in (True, False) if job.pieces > MOST else (False,):
        tries = min(limits.fill_tries, max(4, limits.fill_pieces // job.pieces))
        spare = 0
        while spare <= most and tries > 0 and not watch.over():
            fluid = cover.least(job.total + spare)
            if fluid.cost >= (IMPOSSIBLE if any(best.left) else best.cost):
                break
            objects = tuple(cover.objects(fluid))
            if objects and objects not in seen:
                seen.add(objects)
                tries -= 1
                best = min(best, *_packed(job, objects, limits, watch), key=lambda a: a.rank(job))
            spare = _next(job, fluid, spare, wide=wide)
    return best


def _next(job: Job, fluid: Fluid, spare: int, *, wide: bool) -> int:
    """The spare length to try next: more than this plan's own; in wide strides at least three times as much."""
    beyond = fluid.covered - job.total + 1
    tripled = 3 * spare + 1
    if fluid.partial is not None or beyond <= spare:
        return tripled
    return max(beyond, tripled) if wide else beyond


def _packed(job: Job, objects: Sequence[tuple[int, int]], limits: Limits, watch: Watch) -> list[Answer]:
    """Plans on these objects: by search for small orders, else by exact fills in one or two orders."""
    if job.pieces <= MOST and limits.pack_nodes and len(objects) > 1:
        packings = Packer(job, objects, limits.pack_nodes, watch).run()
        if packings:
            return [swapped(job, answer(job, bins, "exact fills"), watch) for bins in packings]
    orders = (True, False) if len({limit for _, limit in objects[:-1]}) > 1 else (True,)
    return [filled(job, objects, watch, shortest_first=order) for order in orders]
