"""Last rungs: integer plans from the relaxation, by diving and by a small integer programme over its columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from .columns import Generated, Possible, generate
from .greedy import first_rung, swapped
from .job import Answer, Bin, Job, answer, part
from .master import Master, Relaxed
from .watch import Watch


@dataclass(frozen=True, slots=True)
class Dive:
    """Parameters of a dive: rounds of column generation per step, and which column to skip at the first free choice."""

    rounds: int
    skip: int
    pool: dict[Bin, None]


def dive(job: Job, start: Generated, best: Answer, how: Dive, watch: Watch) -> Answer:
    """Fix the columns that the relaxation uses, integer ones first, then the fullest fractional one, until nothing is left.

    `how.pool` collects the columns generated on the way.
    """
    fixed: list[Bin] = []
    rest, state, skip = job, start, how.skip
    while rest.pieces and state.relaxed is not None and not watch.over():
        chosen = _whole(state.columns, state.relaxed)
        if not chosen:
            chosen = _fraction(rest, state.columns, state.relaxed, skip)
            skip = 0
        taken = _fitting(rest, chosen)
        if not taken:
            break
        fixed += taken
        left = list(rest.demand)
        for each in taken:
            for i, n in each.content:
                left[i] -= n
        rest = part(job, fixed, left)
        if not rest.pieces or job.cost(fixed) >= best.cost:
            break
        columns = [c for c in state.columns if rest.kinds[c.kind].count and all(n <= left[i] for i, n in c.content)]
        state = generate(rest, columns, best.cost - job.cost(fixed), how.rounds, watch)
        how.pool.update(dict.fromkeys(state.columns))
        if job.cost(fixed) + state.bound >= best.cost:
            break
    if rest.pieces:
        fixed += first_rung(rest, watch).bins
    return min(best, swapped(job, answer(job, fixed, "column generation"), watch), key=lambda found: found.rank(job))


def _whole(columns: Sequence[Bin], relaxed: Relaxed) -> list[Bin]:
    made = []
    for each, use in zip(columns, relaxed.uses, strict=False):  # the last columns may be newer than the relaxation
        made += [each] * int(use + 1e-6)
    return made


def _fraction(job: Job, columns: Sequence[Bin], relaxed: Relaxed, skip: int) -> list[Bin]:
    """The most used column, ties broken by the longest content; `skip` passes over the first ones."""
    ranked = sorted(
        (n for n, use in enumerate(relaxed.uses) if use > 1e-6),
        key=lambda n: (-round(relaxed.uses[n], 6), columns[n].used - job.kinds[columns[n].kind].capacity, n),
    )
    return [columns[n] for n in ranked[min(skip, len(ranked) - 1) :][:1]]


def _fitting(job: Job, chosen: Sequence[Bin]) -> list[Bin]:
    """Those of the chosen bins that demand and counts still allow, in order; overfull ones are reduced."""
    left, free, made = list(job.demand), [kind.count for kind in job.kinds], []
    for each in chosen:
        content = [(i, min(n, left[i])) for i, n in each.content]
        if free[each.kind] and any(n for _, n in content):
            free[each.kind] -= 1
            made.append(job.bin(each.kind, content))
            for i, n in content:
                left[i] -= n
    return made


def small_programme(job: Job, bins: Sequence[Bin], best: Answer, nodes: int, watch: Watch) -> tuple[Answer, int]:
    """The best integer use of these bins that a limited search finds, and the search's bound.

    The bound is meaningful only if the bins are all that a cheaper plan could use: then no plan costs less than it or than `best`. It is
    lowered by three parts in ten million, since HiGHS is accurate to one, and then raised to the next cost that a plan can have.
    """
    if not bins:
        return best, best.cost
    found = Master(job, bins, watch).whole(nodes)
    if found is None:
        return best, 0
    used = _fitting(job, found.bins)
    left = answer(job, used, "").left
    rest = first_rung(part(job, used, left), watch).bins if any(left) else ()
    made = swapped(job, answer(job, [*used, *rest], "integer programme"), watch)
    better = min(best, made, key=lambda a: a.rank(job))
    if not isfinite(found.bound):
        return better, 0
    low = min(int(found.bound * (1 - 3e-7)) - 1, best.cost)
    return better, Possible(job, better.cost).least(low)


__all__ = ["Dive", "dive", "small_programme"]
