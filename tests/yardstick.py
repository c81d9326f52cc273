"""Measures how long work takes relative to reference work done just before and just after, so that no bound is in seconds."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def fixed_work() -> None:
    """A fixed piece of work; it took about 0.03 s on the machine where the bounds were determined."""
    assert sum(number * number for number in range(800_000)) > 0


_quickest: list[float] = []


def spent(work: Callable[[], T]) -> tuple[T, float]:
    """The result of some work, and the CPU seconds it took in this process, which other load on the machine affects little."""
    began = time.process_time()
    found = work()
    return found, time.process_time() - began


def at_most(times: float, work: Callable[[], T], reference: Callable[[], object] = fixed_work) -> T:
    """The result of `work`, which may take at most `times` as long as `reference`: the slower of two runs, one before and, where that
    alone does not show it, one after.

    What a busy machine does to one run it does not do to three; a computation without a bound is over it in each.
    """
    if reference is fixed_work:  # measured once, as quick as it gets: what is within that bound is within every other
        if not _quickest:
            _quickest.append(min(spent(fixed_work)[1] for _ in range(3)))
        found, taken = spent(work)
        if taken < times * _quickest[0]:
            return found
    ratios = []
    for _ in range(3):
        _, before = spent(reference)
        found, taken = spent(work)
        if taken < times * before:
            return found
        _, after = spent(reference)
        ratios.append(taken / max(before, after))
        if ratios[-1] < times:
            return found
    raise AssertionError(f"{', '.join(f'{ratio:.0f}' for ratio in ratios)} times as long as the reference; {times:.0f} times are let pass")
