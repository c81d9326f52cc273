"""Quick bound R: the least cost of stock that holds a gross length, pieces flowing like water.

On each touched object the cost rises with slope value/length while the rest is kept, may jump where it
becomes too short to keep, and is flat from there. Of two objects both inside their slope, moving length to the
cheaper slope never costs more; so in a best fluid plan at most one object lies inside its slope, and
every other is *full* or *kept at its least rest*. R is exact for that model, and not convex.

With `low`, the shortest piece, no touched object is used for less: then another may also be *used for one shortest piece*. Where orders fill whole
spools and a little more, that is a whole fee.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .job import Ints, Job, Kind
from .watch import ENDLESS, Watch

#: Points kept on a front; more are merged so that the bound only sinks.
POINTS = 20_000
#: Copies of a limited kind that are told apart; more are counted once as full and once as kept.
COPIES = 6
IMPOSSIBLE = 1 << 60


@dataclass(frozen=True, slots=True)
class Item:
    """Objects that cover `length` steps at `cost` together; pieces may fill each up to `limit`."""

    kind: int
    many: int
    length: int
    cost: int
    limit: int


@dataclass(frozen=True, slots=True)
class Slope:
    """One object used in part: `start` plus value/length for each step, from `low` to `reach` steps."""

    kind: int
    start: int
    value: int
    length: int
    step: int
    reach: int
    low: int = 0

    @property
    def limit(self) -> int:
        """The whole object."""
        return self.length // self.step

    def least(self, over: int) -> int:
        """Lower bound of the cost of so many steps."""
        return self.start + over * self.step * self.value // self.length

    def many(self, over: Ints) -> Ints:
        """`least` of many, none of them for less than `low`."""
        return self.start + np.maximum(over, self.low) * self.step * self.value // self.length


@dataclass(frozen=True, slots=True)
class Fluid:
    """A fluid plan: its cost, and the covered length and cost but for the partly used object."""

    cost: int
    covered: int
    cover_cost: int
    partial: Slope | None


Points = tuple[Ints, Ints]
Choice = tuple[Item, ...]


def slope(k: int, kind: Kind, low: int = 0) -> Slope:
    """The sloping part of a kind whose rest can be kept."""
    return Slope(k, kind.touch + (kind.fee or 0), kind.value, kind.length, kind.step, kind.kept_capacity, low)


def _items(k: int, kind: Kind, top: int) -> Choice:
    """One object full and, where that is another thing, with its least rest; inside the slope at the slope's lower bound.

    A full object may still keep a rest. Its own cost is rounded up, and moving length between two objects could save that.
    """
    cost = slope(k, kind).least(top) if top <= kind.kept_capacity else kind.cost(top)
    made: Choice = (Item(k, 1, top, cost, top),)
    if 0 < kind.kept_capacity < top:
        least = kind.kept_capacity
        made += (Item(k, 1, least, slope(k, kind).least(least), kind.capacity),)
    return made


def _choices(kinds: Sequence[Kind], reach: Sequence[int], need: int) -> list[Choice]:
    """What may be added one after the other, at most one item of each; the cheapest by length come last."""
    made: list[Choice] = []
    for _, k in sorted((kind.count > COPIES, k) for k, kind in enumerate(kinds) if reach[k] > 0 and kind.count):
        ones = _items(k, kinds[k], reach[k])
        if kinds[k].count <= COPIES:
            made += [ones] * kinds[k].count
        else:
            made += [choice for one in ones for choice in _multiples(one, min(kinds[k].count, -(-need // one.length)))]
    few = [choice for choice in made if len(choice) > 1 or kinds[choice[0].kind].count <= COPIES]
    many = [choice for choice in made if choice not in few]
    return few + sorted(many, key=lambda c: (-c[0].cost / c[0].length, -c[0].many))


def _lows(k: int, kind: Kind, need: int, low: int) -> list[Choice]:
    """Objects used for one shortest piece; never two of them where one could hold both."""
    one = Item(k, 1, low, slope(k, kind).least(low), kind.capacity)
    return [(one,)] if 2 * low <= kind.kept_capacity else _multiples(one, min(kind.count, -(-need // low)))


def _multiples(one: Item, count: int) -> list[Choice]:
    return [(Item(one.kind, n, n * one.length, n * one.cost, one.limit),) for n in _binary(count)]


def _binary(count: int) -> list[int]:
    """1, 2, 4, ... and a remainder: their partial sums reach every number up to `count`."""
    made, many = [], 1
    while count > 0:
        made.append(min(many, count))
        count -= many
        many *= 2
    return made


class Cover:
    """Least cost of covering lengths up to `need`, as fronts over a growing list of choices.

    Points that cannot end below `ceiling` for a need of at least `floor` are dropped: `least` is exact below
    the ceiling, and nothing that it leaves out costs less than the ceiling. Where points are merged, `least` is a
    bound and no plan; with `real`, it is a plan and no bound.
    """

    def __init__(
        self,
        job: Job,
        reach: Sequence[int],
        floor: int,
        need: int,
        ceiling: int,
        *,
        real: bool = False,
        low: int = 0,
        watch: Watch = ENDLESS,
    ) -> None:
        self.floor, self.need, self.ceiling, self.real = floor, need, ceiling, real
        sloping = [(k, kind) for k, kind in enumerate(job.kinds) if kind.count and kind.kept_capacity > 0 and kind.kept_capacity >= low]
        self.slopes = [slope(k, kind, low) for k, kind in sloping]
        self.choices = _choices(job.kinds, reach, need)
        self.choices += [choice for k, kind in sloping if low for choice in _lows(k, kind, need, low)]
        self.rate = self._rate()
        self.fronts: list[Points] = [(np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64))]
        ahead = sum(max(item.length for item in choice) for choice in self.choices)
        ahead += max((each.reach for each in self.slopes), default=0)
        for choice in self.choices:
            if watch.over():
                break
            ahead -= max(item.length for item in choice)
            self.fronts.append(self._grown(choice, ahead))
        self.whole = len(self.fronts) > len(self.choices)

    def _rate(self) -> float:
        """Least cost of a step anywhere, rounded down a little."""
        rates = [item.cost / item.length for choice in self.choices for item in choice]
        rates += [each.value * each.step / each.length for each in self.slopes]
        return min(rates, default=0.0) * (1 - 1e-12)

    def _grown(self, choice: Choice, ahead: int) -> Points:
        lengths, costs = self.fronts[-1]
        more = [(np.minimum(lengths + item.length, self.need), costs + item.cost) for item in choice]
        longer = np.concatenate([lengths, *(points[0] for points in more)])
        dearer = np.concatenate([costs, *(points[1] for points in more)])
        least = dearer + self.rate * np.maximum(self.floor - longer, 0)
        hopeful = (least <= self.ceiling * (1 + 1e-12) + 1) & (longer + ahead >= self.floor)
        return _pruned(longer[hopeful], dearer[hopeful], real=self.real)

    def least(self, need: int) -> Fluid:
        """R(need) and what reaches it; the ceiling and nothing else where nothing is below."""
        lengths, costs = self.fronts[-1]
        best = Fluid(self.ceiling, 0, 0, None)
        at = int(np.searchsorted(lengths, need))
        if at < len(lengths) and costs[at] < best.cost:
            best = Fluid(int(costs[at]), int(lengths[at]), int(costs[at]), None)
        for each in self.slopes:
            over = need - lengths
            inside = np.flatnonzero((over >= 0) & (over <= each.reach))
            if len(inside):
                total = costs[inside] + each.many(over[inside])
                at = int(np.argmin(total))
                if total[at] < best.cost:
                    best = Fluid(int(total[at]), int(lengths[inside[at]]), int(costs[inside[at]]), each)
        return best

    def objects(self, found: Fluid) -> list[tuple[int, int]]:
        """The (kind, steps to fill) of each object of a fluid plan, the partly used one last.

        Empty where merged points hide the way, which `real` ones never do.
        """
        length, cost = found.covered, found.cover_cost
        made = [] if found.partial is None else [(found.partial.kind, found.partial.limit)]
        for choice, front in zip(self.choices[::-1], self.fronts[-2::-1], strict=True):
            if not _has(front, length, cost):
                item = next((i for i in choice if _has(front, length - i.length, cost - i.cost)), None)
                if item is None:
                    return []
                made += [(item.kind, item.limit)] * item.many
                length, cost = max(0, length - item.length), cost - item.cost
        return made[::-1]


def _has(front: Points, length: int, cost: int) -> bool:
    """Whether the front covers the length for the cost."""
    lengths, costs = front
    at = int(np.searchsorted(lengths, length))
    return at < len(lengths) and bool(costs[at] <= cost)


def _pruned(lengths: Ints, costs: Ints, *, real: bool) -> Points:
    order = np.lexsort((costs, -lengths))
    lengths, costs = lengths[order], costs[order]
    if not len(lengths):
        return lengths, costs
    best = np.minimum.accumulate(costs)
    keep = np.concatenate(([True], costs[1:] < best[:-1]))
    lengths, costs = lengths[keep][::-1], costs[keep][::-1]
    return _merged(lengths, costs, real=real) if len(lengths) > POINTS else (lengths, costs)


def _merged(lengths: Ints, costs: Ints, *, real: bool) -> Points:
    """Fewer points: those of one narrow cell of cost become the longest of them, at its own cost or that of the cheapest."""
    width = max(1, int(costs[-1] - costs[0]) // POINTS // 64)
    while True:
        cells = costs // width
        ends = np.flatnonzero(np.diff(cells, append=cells[-1] + 1))
        if len(ends) <= POINTS:
            return lengths[ends], costs[ends if real else np.concatenate(([0], ends[:-1] + 1))]
        width *= 2


def quick_bound(job: Job, ceiling: int, reach: Sequence[int] | None = None, low: int = 0, watch: Watch = ENDLESS) -> int:
    """No plan of all pieces costs less than this; `ceiling` is what one plan costs, `low` the shortest piece or 0.

    Where the time is up before it is made, the length at its least rate stands for it.
    """
    if not job.pieces:
        return 0
    tops = [kind.capacity for kind in job.kinds] if reach is None else reach
    cover = Cover(job, tops, job.total, job.total, ceiling, low=low, watch=watch)
    if cover.whole:
        return cover.least(job.total).cost
    return min(ceiling, int(cover.rate * job.total))
