"""The rungs, one after the other, until the plan is proven or the limits are reached."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import prod

from .fills import better_fills
from .fluid import quick_bound
from .greedy import first_rung
from .job import Answer, Job
from .model import Limits
from .subsets import transitions
from .table import STATES, Table


@dataclass(frozen=True, slots=True)
class Outcome:
    """The best answer, a bound on what its pieces must cost, and whether no more could be placed."""

    answer: Answer
    bound: int
    bound_stage: str
    complete: bool

    @property
    def proven(self) -> bool:
        """Whether nothing is left to find."""
        return self.complete and self.bound >= self.answer.cost


class Watch:
    """Whether the caller's time is up; without a clock it never is."""

    def __init__(self, limits: Limits) -> None:
        self._clock: Callable[[], float] | None = limits.clock
        self._seconds = limits.seconds
        self._start = limits.clock() if limits.clock else 0.0

    def elapsed(self) -> float | None:
        """Seconds since the start; None without a clock."""
        return self._clock() - self._start if self._clock else None

    def left(self) -> float | None:
        """Seconds left; None without a limit."""
        passed = self.elapsed()
        return None if passed is None or self._seconds is None else self._seconds - passed

    def over(self) -> bool:
        """Whether the time limit is reached."""
        left = self.left()
        return left is not None and left <= 0


def climb(job: Job, limits: Limits, watch: Watch) -> Outcome:
    """Answer with the best plan that the limits allow."""
    if not limits.first_rung_only and transitions(tuple(d + 1 for d in job.demand)) <= limits.transitions:
        return _exact(Table(job))
    found = first_rung(job)
    planned = planned_part(job, found)
    outcome = Outcome(found, quick_bound(planned, found.cost), "length", not any(found.left))
    if limits.first_rung_only or outcome.proven:
        return outcome
    if limits.table_work and prod(d + 1 for d in job.demand) <= STATES:
        table = Table(job)
        if table.work <= limits.table_work:
            return _exact(table)
    found = better_fills(job, found, limits.fill_tries)
    planned = planned_part(job, found)
    return Outcome(found, quick_bound(planned, found.cost), "length", not any(found.left))


def _exact(table: Table) -> Outcome:
    found = table.solve()
    return Outcome(found, found.cost, "exact table", True)


def planned_part(job: Job, found: Answer) -> Job:
    """The job of those pieces only that have a place."""
    if not any(found.left):
        return job
    return replace(job, demand=tuple(d - n for d, n in zip(job.demand, found.left, strict=True)))
