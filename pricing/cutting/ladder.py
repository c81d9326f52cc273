"""The rungs, one after the other, until the plan is proven or the limits are reached."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import prod

from .columns import generate
from .dive import Dive, dive, small_programme
from .fills import better_fills
from .fluid import quick_bound
from .greedy import first_rung
from .job import Answer, Job
from .knapsack import Knapsack
from .model import Limits
from .patterns import useful_bins
from .subsets import transitions
from .table import STATES, Table

#: Steps of one pricing beyond which columns are too slow.
PRICING = 20_000_000


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
    found = better_fills(job, found, limits, watch.over)
    planned = planned_part(job, found)
    bound = quick_bound(planned, found.cost)
    outcome = Outcome(found, bound, "length", not any(found.left))
    return outcome if outcome.proven or watch.over() else _by_columns(planned, outcome, limits, watch)


def _by_columns(job: Job, outcome: Outcome, limits: Limits, watch: Watch) -> Outcome:
    """Column generation for the bound, dives and a small integer programme for the plan."""
    if not limits.column_rounds or Knapsack(job).work > PRICING:
        return outcome
    found = replace(outcome.answer, left=(0,) * len(job.demand))
    state = generate(job, sorted(set(found.bins), key=repr), found.cost, limits.column_rounds, watch.over)
    bound, stage = max((outcome.bound, outcome.bound_stage), (state.bound, "columns"))
    for n in range(limits.dives):
        if bound >= found.cost or watch.over():
            break
        found = dive(job, state, found, Dive(12, n), watch.over)
    if bound < found.cost and limits.mip_nodes and not watch.over():
        every = useful_bins(job, state, found.cost, limits.mip_bins)
        found, low = small_programme(job, every, state.columns, found, limits.mip_nodes, watch.left())
        bound, stage = max((bound, stage), (low, "integer programme"))
    return Outcome(replace(found, left=outcome.answer.left), bound, stage, outcome.complete)


def _exact(table: Table) -> Outcome:
    found = table.solve()
    return Outcome(found, found.cost, "exact table", True)


def planned_part(job: Job, found: Answer) -> Job:
    """The job of those pieces only that have a place."""
    if not any(found.left):
        return job
    return replace(job, demand=tuple(d - n for d, n in zip(job.demand, found.left, strict=True)))
