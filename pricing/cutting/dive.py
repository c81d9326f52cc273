"""Last rungs: integer plans from the relaxation, by diving and by a small integer programme over a choice of bins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from .columns import Generated, Possible, generate
from .greedy import first_rung, swapped
from .job import Answer, Bin, Job, answer, remaining_job
from .master import Master, Relaxed
from .watch import Watch


@dataclass(frozen=True, slots=True)
class Dive:
    """Parameters of a dive: rounds of column generation per step, and how many columns to pass over at the first fractional choice.

    `pool` collects the columns generated on the way, in order.
    """

    rounds: int
    skip: int
    pool: dict[Bin, None]


def dive(job: Job, start: Generated, best: Answer, settings: Dive, watch: Watch) -> Answer:
    """Fix the columns that the relaxation uses, whole uses first, then the largest fractional one, until no piece is left.

    Returns the better of `best` and the plan found. `how.pool` collects the columns generated on the way.
    """
    fixed: list[Bin] = []
    remaining, state, skip = job, start, settings.skip
    while remaining.pieces and state.relaxed is not None and not watch.over():
        chosen = _integer_uses(state.columns, state.relaxed)
        if not chosen:
            chosen = _fractional_use(remaining, state.columns, state.relaxed, skip)
            skip = 0
        taken = _allowed(remaining, chosen)
        if not taken:
            break
        fixed += taken
        left = list(remaining.demand)
        for bin_ in taken:
            for i, n in bin_.content:
                left[i] -= n
        remaining = remaining_job(job, fixed, left)
        if not remaining.pieces or job.cost(fixed) >= best.cost:
            break
        columns = [c for c in state.columns if remaining.kinds[c.kind].count and all(n <= left[i] for i, n in c.content)]
        state = generate(remaining, columns, best.cost - job.cost(fixed), settings.rounds, watch)
        settings.pool.update(dict.fromkeys(state.columns))
        if job.cost(fixed) + state.bound >= best.cost:
            break
    if remaining.pieces:
        fixed += first_rung(remaining, watch).bins
    return min(best, swapped(job, answer(job, fixed, "column generation"), watch), key=lambda a: a.rank(job))


def _integer_uses(columns: Sequence[Bin], relaxed: Relaxed) -> list[Bin]:
    uses = []
    for bin_, use in zip(columns, relaxed.uses, strict=False):  # the last columns may be newer than the relaxation
        uses += [bin_] * int(use + 1e-6)
    return uses


def _fractional_use(job: Job, columns: Sequence[Bin], relaxed: Relaxed, skip: int) -> list[Bin]:
    """The most used column, as a list of one; ties go to the fullest. Passes over the first `skip` columns."""
    ranked = sorted(
        (n for n, use in enumerate(relaxed.uses) if use > 1e-6),
        key=lambda n: (-round(relaxed.uses[n], 6), columns[n].used - job.kinds[columns[n].kind].capacity, n),
    )
    return [columns[n] for n in ranked[min(skip, len(ranked) - 1) :][:1]]


def _allowed(job: Job, chosen: Sequence[Bin]) -> list[Bin]:
    """The chosen bins that demand and stock still allow, in order, without pieces beyond the demand."""
    left, free, allowed = list(job.demand), [kind.count for kind in job.kinds], []
    for bin_ in chosen:
        content = [(i, min(n, left[i])) for i, n in bin_.content]
        if free[bin_.kind] and any(n for _, n in content):
            free[bin_.kind] -= 1
            allowed.append(job.bin(bin_.kind, content))
            for i, n in content:
                left[i] -= n
    return allowed


def small_programme(job: Job, bins: Sequence[Bin], best: Answer, nodes: int, watch: Watch) -> tuple[Answer, int]:
    """The better of `best` and the plan of these bins that a search limited to `nodes` finds, and the search's bound.

    The bound holds only if the bins are all that a cheaper plan could use: then no plan costs less than the smaller of it and `best`. It is
    lowered by three parts in ten million, since HiGHS is accurate to one, and then raised to the next cost that a plan can have.
    """
    if not bins:
        return best, best.cost
    solution = Master(job, bins, watch).solve_integers(nodes)
    if solution is None:
        return best, 0
    used = _allowed(job, solution.bins)
    left = answer(job, used, "").left
    remaining = first_rung(remaining_job(job, used, left), watch).bins if any(left) else ()
    solved = swapped(job, answer(job, [*used, *remaining], "integer programme"), watch)
    better = min(best, solved, key=lambda a: a.rank(job))
    if not isfinite(solution.bound):
        return better, 0
    low = min(int(solution.bound * (1 - 3e-7)) - 1, best.cost)
    return better, Possible(job, better.cost).least(low)


__all__ = ["Dive", "dive", "small_programme"]
