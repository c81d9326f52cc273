"""The order in integers: lengths in steps, money in ten-thousandths of the minor unit.

A step is the greatest common divisor of the pieces' gross lengths in 0.1 mm. A remnant's value is rounded down to a ten-thousandth of the
minor unit; everything else is exact.
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
    """Stock objects identical except for their name.

    `length` and `least_remnant` are in 0.1 mm, `capacity` in steps of `step` 0.1 mm. `ready`: not a new spool. `value`, `touch` and `fee`
    are in ten-thousandths of the minor unit; no `fee`: a remnant is worth nothing. `rows` are (stock row, copies), in id order.
    """

    length: int
    capacity: int
    step: int
    count: int
    ready: bool
    touch: int
    value: int
    least_remnant: int
    fee: int | None
    rows: tuple[tuple[int, int | None], ...]
    unlimited: bool

    def remnant_value(self, remnant: int) -> int | None:
        """Value of a remnant of this length in 0.1 mm, less the fee for keeping it; None if it is scrap."""
        if self.fee is None or remnant <= 0 or remnant < self.least_remnant:
            return None
        worth = self.value * remnant // self.length - self.fee
        return worth if worth >= 0 else None

    def cost(self, used: int) -> int:
        """Cost of touching one object and using this many steps of it."""
        return self.touch + self.value - (self.remnant_value(self.length - used * self.step) or 0)

    def costs(self, used: Ints) -> Ints:
        """`cost` for an array of uses, all within the capacity."""
        full = self.touch + self.value
        if self.fee is None:
            return np.full(used.shape, full, dtype=np.int64)
        remnant = self.length - used * self.step
        worth = remnant * self.value // self.length - self.fee
        worth[(remnant < self.least_remnant) | (worth < 0)] = 0
        return full - worth

    @cached_property
    def kept_capacity(self) -> int:
        """The most steps that can be used with the remnant still kept; -1 if a remnant never is."""
        if self.fee is None:
            return -1
        remnant = max(self.least_remnant, 1)
        if self.fee:
            if not self.value:
                return -1
            remnant = max(remnant, -(-self.fee * self.length // self.value))
        return (self.length - remnant) // self.step if remnant < self.length else -1


@dataclass(frozen=True, slots=True)
class Bin:
    """One touched object: its kind, steps used, and (piece type, count) by decreasing length."""

    kind: int
    used: int
    content: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Job:
    """Piece types by decreasing gross length (`sizes`) with their `demand`, and the stock kinds."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    kinds: tuple[Kind, ...]
    step: int

    @cached_property
    def pieces(self) -> int:
        """Number of pieces."""
        return sum(self.demand)

    @cached_property
    def total(self) -> int:
        """Gross length of all pieces, in steps."""
        return sum(s * d for s, d in zip(self.sizes, self.demand, strict=True))

    def bin(self, kind: int, content: Iterable[tuple[int, int]]) -> Bin:
        """A bin of this kind and (piece type, count) content, with its use summed; each piece type is listed once."""
        merged: dict[int, int] = {}
        for i, n in content:
            if n:
                merged[i] = merged.get(i, 0) + n
        items = tuple(sorted(merged.items()))
        return Bin(kind, sum(self.sizes[i] * n for i, n in items), items)

    def cost(self, bins: Iterable[Bin]) -> int:
        """Total cost of the bins, computed from their contents alone."""
        return sum(self.kinds[b.kind].cost(b.used) for b in bins)


@dataclass(frozen=True)
class Answer:
    """Bins for part of the demand; `left` counts the pieces without a place, by piece type."""

    bins: tuple[Bin, ...]
    left: tuple[int, ...]
    cost: int
    stage: str

    def rank(self, job: Job) -> tuple[int, int, int, int, int]:
        """Sort key, smaller is better: unplaced length, cost, objects, new spools among them, then the longest single remnant."""
        missing = sum(n * s for n, s in zip(self.left, job.sizes, strict=True))
        remnants = (job.kinds[b.kind].length - b.used * job.step for b in self.bins)
        fresh = sum(not job.kinds[b.kind].ready for b in self.bins)
        return missing, self.cost, len(self.bins), fresh, -max(remnants, default=0)


def answer(job: Job, bins: Iterable[Bin], stage: str) -> Answer:
    """An answer built from its bins; cost and leftovers are always recomputed here."""
    filled = tuple(b for b in bins if b.content)
    left = list(job.demand)
    for bin_ in filled:
        for i, n in bin_.content:
            left[i] -= n
    return Answer(filled, tuple(left), job.cost(filled), stage)


def remaining_job(job: Job, bins: Sequence[Bin], left: Sequence[int]) -> Job:
    """The job of the remaining pieces, on the stock that these bins leave; type numbers stay the same."""
    taken = [0] * len(job.kinds)
    for bin_ in bins:
        taken[bin_.kind] += 1
    kinds = tuple(replace(k, count=k.count if k.unlimited else k.count - n) for k, n in zip(job.kinds, taken, strict=True))
    return replace(job, demand=tuple(left), kinds=kinds)


def fits(job: Job, solution: Answer) -> bool:
    """Whether a solution respects capacities, stock counts and demand."""
    if any(n < 0 for n in solution.left):
        return False
    copies = [0] * len(job.kinds)
    for bin_ in solution.bins:
        copies[bin_.kind] += 1
        if bin_.used > job.kinds[bin_.kind].capacity:
            return False
    return all(n <= kind.count for n, kind in zip(copies, job.kinds, strict=True))
