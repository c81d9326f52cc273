"""The public entry point `plan`: checks and scales the order, climbs the ladder, converts the result back and verifies it."""

from __future__ import annotations

from collections.abc import Sequence

from .checking import check
from .errors import PlanFault
from .job import answer, fits
from .ladder import Outcome, climb
from .model import Limits, Note, Piece, Plan, Policy, Stock
from .report import Reporter, scrapped, split_groups, totals
from .scaling import Scaled, scale
from .verify import verify
from .watch import Watch

_DEFAULT_POLICY = Policy()
_DEFAULT_LIMITS = Limits()


def plan(
    pieces: Sequence[Piece],
    stock: Sequence[Stock],
    policy: Policy = _DEFAULT_POLICY,
    limits: Limits = _DEFAULT_LIMITS,
) -> Plan:
    """Plan the cuts of one wire at least cost.

    Lengths are in mm, to 0.1 mm; money to the currency's minor unit. Raises `InvalidOrder` with every failure of the input. Pieces longer
    than any stock, or left when the stock is exhausted, are listed in `unplanned`.
    """
    check(pieces, stock, policy, limits)
    watch = Watch(limits, sum(piece.quantity for piece in pieces))
    scaled = scale(pieces, stock, policy)
    outcome = climb(scaled.job, limits, watch)
    result = _plan(scaled, outcome, pieces, stock, policy, watch)
    verify(result, pieces, stock, policy)
    return result


def _plan(scaled: Scaled, outcome: Outcome, pieces: Sequence[Piece], stock: Sequence[Stock], policy: Policy, watch: Watch) -> Plan:
    solution = answer(scaled.job, outcome.answer.bins, outcome.answer.stage)
    if not fits(scaled.job, solution):
        raise PlanFault(("a rung gave bins that do not fit",))
    reporter = Reporter(scaled, pieces, stock, policy)
    placed = reporter.together(solution)
    solution = answer(scaled.job, [bin_ for bin_, _ in placed], solution.stage)
    bound = max(0, min(outcome.bound, solution.cost))
    uses = reporter.uses(placed)
    unplanned = reporter.unplanned()
    notes = (*split_groups(uses), *scrapped(uses, policy))
    if any(solution.left) and not outcome.complete:
        notes = (*notes, Note("choice_not_shown", "stock"))
    return Plan(
        uses=uses,
        unplanned=unplanned,
        notes=notes,
        totals=totals(uses, policy),
        cost=scaled.money(solution.cost),
        lower_bound=scaled.money(bound),
        gap=scaled.money(solution.cost - bound),
        proven=outcome.complete and bound == solution.cost,
        stage=solution.stage,
        bound_stage=outcome.bound_stage,
        elapsed=watch.elapsed(),
    )
