"""Second rung, exact: a table over counts of equal pieces, with one layer per limited stock object.

The first layer is the least cost of each set of pieces on unlimited spools; each further layer lets one more limited object take any part
that fits. Costs carry the number of objects, and of new spools among them, as last digits, so that ties go to fewer objects and then to
stock already open; among equal plans the one with the longest single remnant is chosen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .fluid import Cover
from .job import Answer, Bin, Ints, Job, answer
from .subsets import BLOCK, NEVER, Index, cheapest_way, closure, convolve, counts, pairs, sparse, transitions
from .watch import ENDLESS, Watch

STATES = 1 << 17
#: States searched for the way to the longest remnant; after that, the first way of equal cost is taken.
_VISITS = 40
_USES = 4_000
#: Entries of all layers together: eight bytes each.
_KEPT = 12_000_000
#: Steps per state for scanning the states for one kind.
_LOOKED = 80
_BIG = 1 << 60


@dataclass(frozen=True, slots=True)
class Layer:
    """A limited object of `kind`: the cost of each part on it, and the table before it."""

    kind: int
    costs: Ints
    before: Ints


class Table:
    """The exact table of a small job. A part is a set of pieces on one object, given by its state.

    `work` estimates microseconds before anything is computed; it is infinite if a limit was reached first. With a ceiling, the cost of a
    known plan of all pieces, only cheaper plans are searched for, and parts are left out if R of the remaining pieces shows that they cannot
    lead to one.
    """

    def __init__(self, job: Job, ceiling: int | None = None, watch: Watch = ENDLESS) -> None:
        self.job, self.ceiling, self.watch = job, ceiling, watch
        self.shape = tuple(d + 1 for d in reversed(job.demand))
        used = np.zeros(1, dtype=np.int64)
        for size, top in zip(reversed(job.sizes), self.shape, strict=True):
            used = np.add.outer(used, np.arange(top, dtype=np.int64) * size).ravel()
        self.used: Ints = used
        self.scale = self._scale()
        self.single, self.owner = self._single()
        self.plain = self._needs_no_split()
        self.given_up = False
        self._least: dict[int, int] = {}
        self.order = self._order()

    def _scale(self) -> int:
        dearest = max((k.touch + k.value for k in self.job.kinds), default=0)
        scale = (self.job.pieces + 1) ** 2
        return scale if dearest * scale * (self.job.pieces + 1) < _BIG else 1

    def _costs(self, kind: int) -> Ints:
        costs = np.full(self.used.shape, NEVER, dtype=np.int64)
        fit = np.flatnonzero(self.used <= self.job.kinds[kind].capacity)
        tie = self.job.pieces + 1 + (not self.job.kinds[kind].ready)
        costs[fit] = self.job.kinds[kind].costs(self.used[fit]) * self.scale + (tie if self.scale > 1 else 0)
        costs[0] = 0
        return costs

    def _single(self) -> tuple[Ints, Ints]:
        best = np.full(self.used.shape, NEVER, dtype=np.int64)
        best[0] = 0
        owner = np.full(self.used.shape, -1, dtype=np.int64)
        for k, kind in enumerate(self.job.kinds):
            if kind.unlimited:
                costs = self._costs(k)
                better = (costs <= best) & (costs < NEVER)
                best[better], owner[better] = costs[better], k
        return best, owner

    def _needs_no_split(self) -> bool:
        """Whether two unlimited spools never beat one: the dearest intercept is at most twice the least."""
        if not any(kind.unlimited for kind in self.job.kinds):
            return True
        if self.single.max(initial=0) >= NEVER:
            return False
        slope = min(k.value // k.length * k.step for k in self.job.kinds if k.unlimited) * self.scale
        above = self.single[1:] - slope * self.used[1:]
        return bool(above.max(initial=0) <= 2 * above.min(initial=NEVER))

    def _order(self) -> list[tuple[int, Index]]:
        """Limited objects, those with the fewest fitting parts first; the last layer is nearly free."""
        order = []
        limited = [kind.capacity for kind in self.job.kinds if not kind.unlimited]
        cover = self._cover(max(limited, default=0))
        for k, kind in enumerate(self.job.kinds):
            if self.given_up or self.watch.over():
                self.given_up = True
                return []
            self.watch.work(len(self.used) * _LOOKED)
            if not kind.unlimited:
                parts = self._hopeful(cover, k, np.flatnonzero(self.used <= kind.capacity)[1:])
                order += [(len(parts), k, parts)] * min(kind.count, self.job.pieces)
        return [(k, parts) for _, k, parts in sorted(order, key=lambda entry: entry[:2])]

    def _cover(self, longest: int) -> Cover | None:
        if self.ceiling is None:
            return None
        floor = max(0, self.job.total - longest)
        cover = Cover(self.job, [kind.capacity for kind in self.job.kinds], floor, self.job.total, self.ceiling, watch=self.watch)
        self.given_up = not cover.complete
        return cover

    def _hopeful(self, cover: Cover | None, k: int, parts: Index) -> Index:
        """The parts on this kind that a plan below the ceiling may contain."""
        if cover is None or self.ceiling is None or self.given_up or not len(parts):
            return parts
        uses, where = np.unique(self.used[parts], return_inverse=True)
        if len(uses) > _USES:
            return parts
        others = np.array([self._cost_of_others(cover, use) for use in uses.tolist()], dtype=np.int64)
        good = self.job.kinds[k].costs(uses) + others < self.ceiling
        return parts[good[where]]

    def _cost_of_others(self, cover: Cover, use: int) -> int:
        """The least cost of all pieces but `use` steps of them, whatever the kind. Zero once a limit is reached."""
        if use not in self._least:
            if self.watch.over():
                self.given_up = True
                return 0
            self._least[use] = cover.least(self.job.total - use).cost
        return self._least[use]

    @property
    def work(self) -> float:
        """Estimated microseconds."""
        if self.given_up or len(self.order) * 2 * len(self.used) > _KEPT:
            return float("inf")
        first = 0.0 if self.plain else 0.002 * transitions(self.shape)
        return first + sum(cheapest_way(self.shape, parts)[1] for _, parts in self.order[:-1])

    def solve(self) -> Answer | None:
        """The cheapest plan that places as much length as possible; None if it is not below the ceiling."""
        table = self.single if self.plain else closure(self.shape, self.single)
        layers: list[Layer] = []
        for n, (kind, parts) in enumerate(self.order):
            layers.append(Layer(kind, self._few(kind, parts), table))
            if n == len(self.order) - 1:
                last = int((layers[-1].costs + table[::-1]).min())
                if last < NEVER:
                    return self._read(layers, len(table) - 1, last, layers[0].before)
            few, _ = cheapest_way(self.shape, parts)
            costs = layers[-1].costs
            table = sparse(self.shape, costs, table, parts) if few else convolve(self.shape, costs, table)
        return self._best(layers, table)

    def _few(self, kind: int, parts: Index) -> Ints:
        costs = self._costs(kind)
        allowed = np.full(costs.shape, NEVER, dtype=np.int64)
        allowed[0], allowed[parts] = 0, costs[parts]
        return allowed

    def _best(self, layers: list[Layer], table: Ints) -> Answer | None:
        if self.ceiling is not None and table[-1] >= NEVER:
            return None
        possible = table < NEVER
        longest = self.used[possible].max()
        state = min(np.flatnonzero(possible & (self.used == longest)).tolist(), key=lambda t: (int(table[t]), t))
        return self._read(layers, state, int(table[state]), layers[0].before if layers else table)

    def _read(self, layers: list[Layer], state: int, value: int, base: Ints) -> Answer | None:
        if self.ceiling is not None and value // self.scale >= self.ceiling:
            return None
        bins = _Reader(self, layers, base).plan(state, value)
        return answer(self.job, bins, "exact table")

    def parts_of(self, state: int) -> Index:
        """The numbers of all states within this one."""
        if state == len(self.used) - 1:
            return np.arange(len(self.used), dtype=np.intp)
        if transitions(self.shape) <= BLOCK:
            table = pairs(self.shape)
            end = table.starts[state + 1] if state + 1 < len(table.starts) else len(table.part)
            return table.part[table.starts[state] : end]
        vectors = counts(self.shape)
        return np.flatnonzero((vectors <= vectors[state]).all(axis=1)).astype(np.intp)

    def bin(self, kind: int, state: int) -> Bin:
        """A state as a bin."""
        vector = counts(self.shape)[state].tolist()
        last = len(vector) - 1
        return self.job.bin(kind, [(last - n, count) for n, count in enumerate(vector)])


class _Reader:
    """Walks back through the layers along equal costs, preferring the longest single remnant."""

    def __init__(self, table: Table, layers: list[Layer], base: Ints) -> None:
        self.table, self.layers, self.base = table, layers, base
        self.known: dict[tuple[int, int], tuple[int, int]] = {}
        self.visits = 0

    def plan(self, state: int, value: int) -> list[Bin]:
        bins: list[Bin] = []
        level = len(self.layers)
        while level:
            _, part = self.remnant(level, state, value)
            level -= 1
            if part:
                bins.append(self.table.bin(self.layers[level].kind, part))
            state -= part
            value = int(self.layers[level].before[state])
        return bins + [self.table.bin(kind, part) for kind, part in self._spools(state)]

    def remnant(self, level: int, state: int, value: int) -> tuple[int, int]:
        """(longest remnant, part taken by this layer's object) of the best way to reach the value."""
        if (level, state) not in self.known:
            self.visits += 1
            if self.visits > _VISITS:
                self._straight(level, state, value)
            else:
                self.known[level, state] = self._look(level, state, value)
        return self.known[level, state]

    def _straight(self, level: int, state: int, value: int) -> None:
        """The first way of equal cost, layer by layer, without recursion: there may be thousands of layers."""
        path: list[tuple[int, int, int]] = []
        while level and (level, state) not in self.known:
            part = self._equal(level, state, value)[0]
            path.append((level, state, part))
            level, state = level - 1, state - part
            value = int(self.layers[level].before[state])
        if (level, state) not in self.known:
            self.known[level, state] = self._look(0, state, value)
        longest = self.known[level, state][0]
        for at, whole, part in reversed(path):
            own = self._left(self.layers[at - 1].kind, part) if part else 0
            longest = max(longest, own)
            self.known[at, whole] = longest, part

    def _equal(self, level: int, state: int, value: int) -> list[int]:
        """The parts that this layer's object can take at this cost."""
        layer = self.layers[level - 1]
        parts = self.table.parts_of(state)
        equal: list[int] = parts[layer.costs[parts] + layer.before[state - parts] == value].tolist()
        return equal

    def _look(self, level: int, state: int, value: int) -> tuple[int, int]:
        if not level:
            return max((self._left(kind, part) for kind, part in self._spools(state)), default=0), 0
        layer = self.layers[level - 1]
        best = (-1, 0)
        for part in self._equal(level, state, value):
            below, _ = self.remnant(level - 1, state - part, int(layer.before[state - part]))
            own = self._left(layer.kind, part) if part else 0
            best = max(best, (max(below, own), -part))
        return best[0], -best[1]

    def _left(self, kind: int, part: int) -> int:
        return self.table.job.kinds[kind].length - int(self.table.used[part]) * self.table.job.step

    def _spools(self, state: int) -> list[tuple[int, int]]:
        """(kind, part) of the unlimited spools in this state, split off one by one."""
        spools = []
        single = self.table.single
        while state:
            part = state
            if single[state] != self.base[state]:
                parts = self.table.parts_of(state)[1:]
                part = int(parts[single[parts] + self.base[state - parts] == self.base[state]][0])
            spools.append((int(self.table.owner[part]), part))
            state -= part
        return spools
