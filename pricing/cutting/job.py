"""The order in integers: lengths in steps, money in ten-thousandths of the minor unit.

A step is the greatest common divisor of the pieces' gross lengths in 0.1 mm. A rest's value is rounded
down to a ten-thousandth of the minor unit; everything else is exact.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Kind:
    """Stock objects alike in everything but their name. `rows` are (stock row, copies), in id order."""

    length: int
    capacity: int
    step: int
    count: int
    ready: bool
    touch: int
    value: int
    least_rest: int
    fee: int | None
    rows: tuple[tuple[int, int | None], ...]
    unlimited: bool

    def rest_value(self, rest: int) -> int | None:
        """Value of a kept rest of so many 0.1 mm; None where it is scrap."""
        if self.fee is None or rest <= 0 or rest < self.least_rest:
            return None
        worth = self.value * rest // self.length - self.fee
        return worth if worth >= 0 else None

    def cost(self, used: int) -> int:
        """Cost of touching one object and using so many steps of it."""
        return self.touch + self.value - (self.rest_value(self.length - used * self.step) or 0)

    def costs(self, used: Ints) -> Ints:
        """`cost` of many uses, all within the capacity."""
        full = self.touch + self.value
        if self.fee is None:
            return np.full(used.shape, full, dtype=np.int64)
        rest = self.length - used * self.step
        worth = rest * self.value // self.length - self.fee
        worth[(rest < self.least_rest) | (worth < 0)] = 0
        return full - worth

    @cached_property
    def kept_capacity(self) -> int:
        """Most steps that may be used with the rest still kept; -1 where a rest never is."""
        if self.fee is None:
            return -1
        rest = max(self.least_rest, 1)
        if self.fee:
            if not self.value:
                return -1
            rest = max(rest, -(-self.fee * self.length // self.value))
        return (self.length - rest) // self.step if rest < self.length else -1


@dataclass(frozen=True, slots=True)
class Bin:
    """One touched object: its kind, the use in steps, and (piece type, how many) by falling length."""

    kind: int
    used: int
    content: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Job:
    """Piece types by falling gross length `sizes` with their `demand`, and the stock kinds."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    kinds: tuple[Kind, ...]
    step: int

    @cached_property
    def pieces(self) -> int:
        """How many pieces."""
        return sum(self.demand)

    @cached_property
    def total(self) -> int:
        """Gross length of all pieces, in steps."""
        return sum(s * d for s, d in zip(self.sizes, self.demand, strict=True))

    def bin(self, kind: int, content: Iterable[tuple[int, int]]) -> Bin:
        """A bin with its use added up; each piece type stands in it once."""
        merged: dict[int, int] = {}
        for i, n in content:
            if n:
                merged[i] = merged.get(i, 0) + n
        items = tuple(sorted(merged.items()))
        return Bin(kind, sum(self.sizes[i] * n for i, n in items), items)

    def cost(self, bins: Iterable[Bin]) -> int:
        """What the bins cost together, from their contents alone."""
        return sum(self.kinds[b.kind].cost(b.used) for b in bins)


@dataclass(frozen=True)
class Answer:
    """Bins for a part of the demand; `left` counts what found no place, by piece type."""

    bins: tuple[Bin, ...]
    left: tuple[int, ...]
    cost: int
    stage: str

    def rank(self, job: Job) -> tuple[int, int, int, int, int]:
        """Smaller is better: length without place, cost, objects, new spools among them, then the longest single rest."""
        missing = sum(n * s for n, s in zip(self.left, job.sizes, strict=True))
        rests = (job.kinds[b.kind].length - b.used * job.step for b in self.bins)
        fresh = sum(not job.kinds[b.kind].ready for b in self.bins)
        return missing, self.cost, len(self.bins), fresh, -max(rests, default=0)


def answer(job: Job, bins: Iterable[Bin], stage: str) -> Answer:
    """An answer from its bins; cost and leftovers are recomputed here, never taken over."""
    made = tuple(b for b in bins if b.content)
    left = list(job.demand)
    for each in made:
        for i, n in each.content:
            left[i] -= n
    return Answer(made, tuple(left), job.cost(made), stage)


def part(job: Job, bins: Sequence[Bin], left: Sequence[int]) -> Job:
    """The job of the pieces left, on the stock that these bins leave; its type numbers stay the same."""
    taken = [0] * len(job.kinds)
    for each in bins:
        taken[each.kind] += 1
    kinds = tuple(replace(k, count=k.count if k.unlimited else k.count - n) for k, n in zip(job.kinds, taken, strict=True))
    return replace(job, demand=tuple(left), kinds=kinds)


def fits(job: Job, found: Answer) -> bool:
    """Whether the answer keeps to capacities, copies and demand."""
    if any(n < 0 for n in found.left):
        return False
    copies = [0] * len(job.kinds)
    for each in found.bins:
        copies[each.kind] += 1
        if each.used > job.kinds[each.kind].capacity:
            return False
    return all(n <= kind.count for n, kind in zip(copies, job.kinds, strict=True))
