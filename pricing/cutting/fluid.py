"""Quick bound R: the least cost of stock that holds a gross length, with pieces treated as a fluid.

On each touched object the cost rises with slope value/length while the remnant is kept, may jump where it becomes too short to keep,
and is flat from there. If two objects are both inside their slope, moving length to the cheaper slope never costs more; so in a best fluid
plan at most one object is inside its slope, and every other is *full* or *kept at its least remnant*. R is exact for that model, and not
convex.

With `low`, the shortest piece, no touched object is used for less, so another may also be *used for one shortest piece*. For orders that
fill whole spools and a little more, that amounts to a whole fee.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .job import Ints, Job, Kind
from .watch import ENDLESS, Watch

#: Points kept on a front; beyond that, points are merged in a way that can only lower the bound.
POINTS = 20_000
#: Points of all fronts of a cover together: eight bytes each for length and cost.
ALL_POINTS = 4_000_000
#: Steps for merging a point into a front, and for inspecting it in a search for the least.
_MERGED, _LOOKED = 60, 8
_CALLED = 20_000
#: Copies of a limited kind that are treated individually; beyond that, they are counted once as full and once as kept.
COPIES = 6
IMPOSSIBLE = 1 << 60


@dataclass(frozen=True, slots=True)
class Item:
    """`many` objects of one kind that together cover `length` steps at `cost`; pieces may fill each up to `limit` steps."""

    kind: int
    many: int
    length: int
    cost: int
    limit: int


@dataclass(frozen=True, slots=True)
class Slope:
    """One partly used object: it costs `start`, plus value/length for each 0.1 mm used, from `low` to `reach` steps.

    `length` is the object's, in 0.1 mm; `step` converts steps to 0.1 mm.
    """

    kind: int
    start: int
    value: int
    length: int
    step: int
    reach: int
    low: int = 0

    @property
    def limit(self) -> int:
        """The object's full length, in steps."""
        return self.length // self.step

    def least(self, over: int) -> int:
        """Lower bound on the cost of using this many steps."""
        return self.start + over * self.step * self.value // self.length

    def leasts(self, over: Ints) -> Ints:
        """`least` for an array; uses below `low` cost as much as `low`."""
        return self.start + np.maximum(over, self.low) * self.step * self.value // self.length


@dataclass(frozen=True, slots=True)
class Fluid:
    """A fluid plan: its cost, the length and cost covered without the partly used object, and that object (None: there is none)."""

    cost: int
    covered: int
    cover_cost: int
    partial: Slope | None


Points = tuple[Ints, Ints]
Choice = tuple[Item, ...]


def slope(k: int, kind: Kind, low: int = 0) -> Slope:
    """The sloping part of a kind whose remnant can be kept."""
    return Slope(k, kind.touch + (kind.fee or 0), kind.value, kind.length, kind.step, kind.kept_capacity, low)


def _items(k: int, kind: Kind, top: int) -> Choice:
    """One object used in full and, if that differs, with its least remnant; inside the slope at the slope's lower bound.

    A full object may still keep a remnant. Its own cost is rounded up, and moving length between two objects could save that.
    """
    cost = slope(k, kind).least(top) if top <= kind.kept_capacity else kind.cost(top)
    choice: Choice = (Item(k, 1, top, cost, top),)
    if 0 < kind.kept_capacity < top:
        least = kind.kept_capacity
        choice += (Item(k, 1, least, slope(k, kind).least(least), kind.capacity),)
    return choice


def _choices(kinds: Sequence[Kind], reach: Sequence[int], need: int) -> list[Choice]:
    """The choices to add one after another, at most one item of each; the cheapest by length come last."""
    choices: list[Choice] = []
    for _, k in sorted((kind.count > COPIES, k) for k, kind in enumerate(kinds) if reach[k] > 0 and kind.count):
        ones = _items(k, kinds[k], reach[k])
        if kinds[k].count <= COPIES:
            choices += [ones] * kinds[k].count
        else:
            choices += [choice for one in ones for choice in _multiples(one, min(kinds[k].count, -(-need // one.length)))]
    few = [choice for choice in choices if len(choice) > 1 or kinds[choice[0].kind].count <= COPIES]
    many = [choice for choice in choices if choice not in few]
    return few + sorted(many, key=lambda c: (-c[0].cost / c[0].length, -c[0].many))


def _lows(k: int, kind: Kind, need: int, low: int) -> list[Choice]:
    """Objects used for one shortest piece; never two of them if one could hold both."""
    one = Item(k, 1, low, slope(k, kind).least(low), kind.capacity)
    return [(one,)] if 2 * low <= kind.kept_capacity else _multiples(one, min(kind.count, -(-need // low)))


def _multiples(one: Item, count: int) -> list[Choice]:
    return [(Item(one.kind, n, n * one.length, n * one.cost, one.limit),) for n in _binary(count)]


def _binary(count: int) -> list[int]:
    """1, 2, 4, ... and a remainder: their partial sums reach every number up to `count`."""
    powers, many = [], 1
    while count > 0:
        powers.append(min(many, count))
        count -= many
        many *= 2
    return powers


class Cover:
    """Least cost of covering lengths up to `need`, as fronts over a growing list of choices.

    Points that cannot end below `ceiling` for a need of at least `floor` are dropped: `least` is exact below the ceiling, and nothing it
    leaves out costs less than the ceiling. If points are merged, `least` is a bound but not a plan; with `real`, it is a plan but not a
    bound, and all fronts are kept to reconstruct its objects.
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
        self.floor, self.need, self.ceiling, self.real, self.watch = floor, need, ceiling, real, watch
        sloping = [(k, kind) for k, kind in enumerate(job.kinds) if kind.count and kind.kept_capacity > 0 and kind.kept_capacity >= low]
        self.slopes = [slope(k, kind, low) for k, kind in sloping]
        self.choices = _choices(job.kinds, reach, need)
        self.choices += [choice for k, kind in sloping if low for choice in _lows(k, kind, need, low)]
        self.rate = self._rate()
        self.points = min(POINTS, ALL_POINTS // max(1, len(self.choices)))
        self.last: Points = (np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64))
        self.fronts = [self.last]
        ahead = sum(max(item.length for item in choice) for choice in self.choices)
        ahead += max((partial.reach for partial in self.slopes), default=0)
        self.complete = True
        for choice in self.choices:
            if watch.over():
                self.complete = False
                break
            ahead -= max(item.length for item in choice)
            self.last = self._grown(choice, ahead)
            if real:
                self.fronts.append(self.last)

    def _rate(self) -> float:
        """Least cost per step anywhere, rounded down slightly."""
        rates = [item.cost / item.length for choice in self.choices for item in choice]
        rates += [partial.value * partial.step / partial.length for partial in self.slopes]
        return min(rates, default=0.0) * (1 - 1e-12)

    def _grown(self, choice: Choice, ahead: int) -> Points:
        lengths, costs = self.last
        self.watch.work(_CALLED + len(lengths) * (1 + len(choice)) * _MERGED)
        more = [(np.minimum(lengths + item.length, self.need), costs + item.cost) for item in choice]
        longer = np.concatenate([lengths, *(points[0] for points in more)])
        dearer = np.concatenate([costs, *(points[1] for points in more)])
        least = dearer + self.rate * np.maximum(self.floor - longer, 0)
        hopeful = (least <= self.ceiling * (1 + 1e-12) + 1) & (longer + ahead >= self.floor)
        return _pruned(longer[hopeful], dearer[hopeful], self.points, real=self.real)

    def least(self, need: int) -> Fluid:
        """R(need) and the plan that reaches it; if nothing is below the ceiling, just the ceiling."""
        lengths, costs = self.last
        self.watch.work((1 + len(self.slopes)) * (_CALLED + len(lengths) * _LOOKED))
        best = Fluid(self.ceiling, 0, 0, None)
        at = int(np.searchsorted(lengths, need))
        if at < len(lengths) and costs[at] < best.cost:
            best = Fluid(int(costs[at]), int(lengths[at]), int(costs[at]), None)
        for partial in self.slopes:
            over = need - lengths
            inside = np.flatnonzero((over >= 0) & (over <= partial.reach))
            if len(inside):
                total = costs[inside] + partial.leasts(over[inside])
                at = int(np.argmin(total))
                if total[at] < best.cost:
                    best = Fluid(int(total[at]), int(lengths[inside[at]]), int(costs[inside[at]]), partial)
        return best

    def objects(self, fluid: Fluid) -> list[tuple[int, int]]:
        """The (kind, steps to fill) of each object of a fluid plan, the partly used one last.

        Empty if merged points hide the way, which never happens with `real`.
        """
        self.watch.work(len(self.choices) * _CALLED // 4)
        length, cost = fluid.covered, fluid.cover_cost
        objects = [] if fluid.partial is None else [(fluid.partial.kind, fluid.partial.limit)]
        for choice, front in zip(self.choices[::-1], self.fronts[-2::-1], strict=True):
            if not _has(front, length, cost):
                item = next((i for i in choice if _has(front, length - i.length, cost - i.cost)), None)
                if item is None:
                    return []
                objects += [(item.kind, item.limit)] * item.many
                length, cost = max(0, length - item.length), cost - item.cost
        return objects[::-1]


def _has(front: Points, length: int, cost: int) -> bool:
    """Whether the front covers the length at that cost."""
    lengths, costs = front
    at = int(np.searchsorted(lengths, length))
    return at < len(lengths) and bool(costs[at] <= cost)


def _pruned(lengths: Ints, costs: Ints, most: int, *, real: bool) -> Points:
    order = np.lexsort((costs, -lengths))
    lengths, costs = lengths[order], costs[order]
    if not len(lengths):
        return lengths, costs
    best = np.minimum.accumulate(costs)
    keep = np.concatenate(([True], costs[1:] < best[:-1]))
    lengths, costs = lengths[keep][::-1], costs[keep][::-1]
    return _merged(lengths, costs, most, real=real) if len(lengths) > most else (lengths, costs)


def _merged(lengths: Ints, costs: Ints, most: int, *, real: bool) -> Points:
    """Reduce the number of points: those in a narrow cost range become the longest of them, at its own cost or that of the cheapest."""
    width = max(1, int(costs[-1] - costs[0]) // most // 64)
    while True:
        cells = costs // width
        ends = np.flatnonzero(np.diff(cells, append=cells[-1] + 1))
        if len(ends) <= most:
            return lengths[ends], costs[ends if real else np.concatenate(([0], ends[:-1] + 1))]
        width *= 2


def quick_bound(job: Job, ceiling: int, reach: Sequence[int] | None = None, low: int = 0, watch: Watch = ENDLESS) -> int:
    """A lower bound on the cost of any plan of all pieces; `ceiling` is the cost of some plan, `low` the shortest piece or 0.

    If time runs out first, the total length at the least rate is used instead.
    """
    if not job.pieces:
        return 0
    tops = [kind.capacity for kind in job.kinds] if reach is None else reach
    cover = Cover(job, tops, job.total, job.total, ceiling, low=low, watch=watch)
    if cover.complete:
        return cover.least(job.total).cost
    return min(ceiling, int(cover.rate * job.total))
