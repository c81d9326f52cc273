"""A final check of a finished plan, in Decimal and from the plan itself: positions, counts and cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import ROUND_FLOOR, Decimal, localcontext

from .errors import PlanFault
from .model import Piece, Plan, Policy, Stock, Use


def verify(plan: Plan, pieces: Sequence[Piece], stock: Sequence[Stock], policy: Policy) -> None:
    """Raise `PlanFault` if the plan breaks a rule; does not use the integer job."""
    by_id = {row.id: row for row in stock}
    with localcontext() as context:
        context.prec = 60
        faults = [*_counts(plan, pieces), *_objects(plan, by_id)]
        cost = Decimal(0)
        for use in plan.uses:
            faults += _places(use, policy)
            cost += _cost(use, by_id[use.stock_id], policy)
        if cost != plan.cost or sum((use.cost for use in plan.uses), Decimal(0)) != plan.cost:
            faults.append(f"the uses cost {cost}, the plan says {plan.cost}")
        if plan.lower_bound > plan.cost or (plan.proven and plan.gap):
            faults.append(f"bound {plan.lower_bound} and cost {plan.cost} do not go together")
    if faults:
        raise PlanFault(tuple(faults))


def _counts(plan: Plan, pieces: Sequence[Piece]) -> Iterator[str]:
    seen = Counter(cut.row for use in plan.uses for cut in use.cuts)
    for left in plan.unplanned:
        seen[left.row] += left.quantity
    for row, piece in enumerate(pieces):
        if seen[row] != piece.quantity:
            yield f"row {row} asks for {piece.quantity} pieces, the plan names {seen[row]}"


def _objects(plan: Plan, by_id: dict[str, Stock]) -> Iterator[str]:
    if len({use.object_id for use in plan.uses}) != len(plan.uses):
        yield "an object is cut twice"
    for stock_id, copies in Counter(use.stock_id for use in plan.uses).items():
        count = by_id[stock_id].count
        if count is not None and copies > count:
            yield f"{copies} of {stock_id} are cut, {count} are there"


def _places(use: Use, policy: Policy) -> Iterator[str]:
    at = Decimal(0)
    for cut in use.cuts:
        if cut.start != at or cut.end - cut.start != cut.length:
            yield f"a cut on {use.object_id} starts at {cut.start}, not {at}"
        at = cut.end + policy.allowance
    if at != use.used or use.used + use.remnant != use.length or use.remnant < 0:
        yield f"{use.object_id}: {use.used} used and {use.remnant} left of {use.length}"


def _cost(use: Use, row: Stock, policy: Policy) -> Decimal:
    touch = policy.touch if row.touch is None else row.touch
    value = row.price if row.price is not None else (row.price_per_metre or Decimal(0)) * row.length / 1000
    back = Decimal(0)
    if use.remnant > 0 and use.remnant >= policy.least_remnant and policy.remnant_fee.is_finite():
        fine = Decimal(1).scaleb(-policy.minor_digits - 4)
        worth = (value * use.remnant / row.length).quantize(fine, rounding=ROUND_FLOOR)
        back = max(Decimal(0), worth - policy.remnant_fee)
    return touch + value - back
