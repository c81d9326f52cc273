"""Climbs the rungs one after another until the plan is proven optimal or a limit is reached."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import prod

from .columns import Generated, generate
from .dive import Dive, dive, small_programme
from .errors import PlanFault
from .fills import better_fills, reachable
from .fluid import quick_bound
from .greedy import first_rung
from .job import Answer, Bin, Job
from .knapsack import Knapsack
from .model import Limits
from .patterns import useful_bins
from .subsets import transitions
from .table import STATES, Table
from .watch import Watch

#: Steps per pricing beyond which column generation is too slow.
PRICING = 25_000_000
#: Steps of all kinds together beyond which column generation takes too much memory: eight bytes each, and as much again as working space.
WIDTH = 8_000_000
#: Steps per microsecond estimated by the exact table.
_MICROSECOND = 1_000


@dataclass(frozen=True, slots=True)
class Outcome:
    """The best answer, a lower bound on the cost of its pieces, and whether no more pieces could be placed."""

    answer: Answer
    bound: int
    bound_stage: str
    complete: bool

    @property
    def proven(self) -> bool:
        """Whether the answer is proven optimal."""
        return self.complete and self.bound >= self.answer.cost


def climb(job: Job, limits: Limits, watch: Watch) -> Outcome:
    """Return the best plan that the limits allow."""
    if not limits.first_rung_only and transitions(tuple(d + 1 for d in job.demand)) <= limits.transitions:
        return _exact(Table(job))
    best = first_rung(job, watch)
    outcome = _bounded(job, best, watch)
    if limits.first_rung_only or outcome.proven or watch.over():
        return outcome
    best = better_fills(job, best, limits, watch)
    outcome = _best_bound(outcome, _bounded(job, best, watch, filled=True))
    if outcome.proven or watch.over():
        return outcome
    return _by_table(job, outcome, limits, watch) or _by_columns(planned_part(job, best), outcome, limits, watch)


def _bounded(job: Job, best: Answer, watch: Watch, *, filled: bool = False) -> Outcome:
    """The quick bound; with `filled`, each object counts only as far as pieces can fill it exactly."""
    planned = planned_part(job, best)
    reach = reachable(planned, [kind.capacity for kind in job.kinds]) if filled else None
    low = min((size for size, many in zip(planned.sizes, planned.demand, strict=True) if many), default=0) if filled else 0
    return Outcome(best, quick_bound(planned, best.cost, reach, low, watch), "length", not any(best.left))


def _best_bound(before: Outcome, after: Outcome) -> Outcome:
    """The later plan, with the earlier bound if that covers the same pieces and is higher, as when the later one was cut short."""
    if before.complete and after.complete and before.bound > after.bound:
        return replace(after, bound=min(before.bound, after.answer.cost))
    return after


def _by_table(job: Job, outcome: Outcome, limits: Limits, watch: Watch) -> Outcome | None:
    """The exact table for an order of medium size, without parts that no cheaper plan can use. None if it would be too much work."""
    if not limits.table_work or prod(d + 1 for d in job.demand) > STATES:
        return None
    best = outcome.answer
    table = Table(job, best.cost if outcome.complete else None, watch)
    if table.work > limits.table_work or watch.over():
        return None
    watch.work(int(table.work) * _MICROSECOND)
    better = table.solve()
    if better is None:
        return Outcome(best, best.cost, "exact table", True)
    return Outcome(better, better.cost, "exact table", True)


def _by_columns(job: Job, outcome: Outcome, limits: Limits, watch: Watch) -> Outcome:
    """Column generation for the bound; dives and small integer programmes for the plan."""
    close = (outcome.answer.cost - outcome.bound) * limits.close <= outcome.answer.cost
    if not limits.column_rounds or (limits.close and close) or _too_wide(Knapsack(job)):
        return outcome
    best = replace(outcome.answer, left=(0,) * len(job.demand))
    state = generate(job, sorted(set(best.bins), key=repr), best.cost, limits.column_rounds, watch)
    bound, stage = max((outcome.bound, outcome.bound_stage), (state.bound, "columns"))
    pool = dict.fromkeys(state.columns)
    for n in range(limits.dives):
        if bound >= best.cost or watch.over():
            break
        best = dive(job, state, best, Dive(12, n, pool), watch)
    for beyond_pool in (False, True):
        if bound >= best.cost or not limits.mip_nodes or watch.over():
            break
        bins, every = _useful(job, state, best, pool, limits, watch) if beyond_pool else (list(pool), False)
        best, low = small_programme(job, bins, best, limits.mip_nodes, watch)
        bound, stage = max((bound, stage), (low if every else 0, "integer programme"))
    return Outcome(replace(best, left=outcome.answer.left), bound, stage, outcome.complete)


def _too_wide(knapsack: Knapsack) -> bool:
    return knapsack.work > PRICING or knapsack.width > WIDTH


def _useful(job: Job, state: Generated, best: Answer, pool: Iterable[Bin], limits: Limits, watch: Watch) -> tuple[list[Bin], bool]:
    """All bins that a cheaper plan can use; if there are too many, the closest of them plus the pool, and False."""
    bins = useful_bins(job, state, best.cost, limits.mip_bins)
    if bins is not None:
        return bins, True
    gap, widest = best.cost - state.raw, list[Bin]()
    for halved in range(9, 0, -1):
        near = None if watch.over() else useful_bins(job, state, state.raw + (gap >> halved), limits.mip_bins // 2)
        if near is None:
            break
        widest = near
    return list(dict.fromkeys([*pool, *widest])) if widest else [], False


def _exact(table: Table) -> Outcome:
    best = table.solve()
    if best is None:  # without a ceiling there is always a plan, even if empty
        raise PlanFault(("the exact table gave no plan",))
    return Outcome(best, best.cost, "exact table", True)


def planned_part(job: Job, best: Answer) -> Job:
    """The job of only the pieces that have a place in this answer."""
    if not any(best.left):
        return job
    return replace(job, demand=tuple(d - n for d, n in zip(job.demand, best.left, strict=True)))
