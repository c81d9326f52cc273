"""One plan a wire: pieces and stock of different wires never meet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from pricing.bench.shelf import Shelf, policy
from pricing.bench.wanted import Wanted
from pricing.catalogue.rows import Wire
from pricing.cutting import Limits, Plan, Policy, Stock, plan
from pricing.terms import Terms

FIRST_RUNG = Limits(first_rung_only=True)
#: For wire bought for the job, whose rest the customer pays: every rung that counts in integers, by steps alone. So preview, quote,
#: recompute and a plan of many quotes buy the same lengths, on any machine.
FOR_A_PRICE = Limits(column_rounds=0)


@dataclass(frozen=True, slots=True)
class WirePlan:
    """The plan of one wire, by the `policy` it was made with; `plan` is None where there is no stock of that wire at all.

    `for_quote` is the number of the quote for which the wire is bought: its customer paid for the rest.
    """

    wire: Wire
    wanted: tuple[Wanted, ...]
    policy: Policy
    plan: Plan | None
    for_quote: str | None = None

    @property
    def bought_for_the_job(self) -> bool:
        """Whether what is left is worth nothing to the shop."""
        return not self.policy.rest_fee.is_finite()

    def rest_metres(self) -> Decimal:
        """What is left of the touched stock, in metres."""
        return sum((use.rest for use in self.plan.uses), Decimal(0)) / 1000 if self.plan else Decimal(0)


def by_wire(wanted: Iterable[Wanted]) -> dict[str, tuple[Wanted, ...]]:
    """The pieces of each wire, in the order asked for."""
    found: dict[str, list[Wanted]] = {}
    for each in wanted:
        found.setdefault(each.sku, []).append(each)
    return {sku: tuple(pieces) for sku, pieces in found.items()}


def plan_wire(wire: Wire, pieces: tuple[Wanted, ...], stock: tuple[Stock, ...], rules: Policy, limits: Limits) -> WirePlan:
    """Plan one wire. Raises `pricing.cutting.InvalidOrder` for pieces or stock that cannot be planned with."""
    made = plan([each.piece() for each in pieces], stock, rules, limits) if stock else None
    return WirePlan(wire, pieces, rules, made)


def plan_quotes(
    wanted: Iterable[Wanted],
    wires: Mapping[str, Wire],
    shelf: Shelf,
    terms: Terms,
    limits: Limits = FIRST_RUNG,
    only: Callable[[Wire], bool] = lambda _: True,
) -> tuple[WirePlan, ...]:
    """The plans of all pieces of one or many quotes, wire by wire; wire bought for the job quote by quote, as each customer pays for it.

    A wire that the catalogue has no more is passed over by the caller. Raises `pricing.cutting.InvalidOrder`.
    """
    found = []
    for sku, pieces in by_wire(wanted).items():
        wire = wires[sku]
        if not only(wire):
            continue
        stock = shelf.for_quote(wire, terms)
        if not bought_for_the_job(wire):
            found.append(plan_wire(wire, pieces, stock, policy(terms), limits))
            continue
        for number in dict.fromkeys(each.quote for each in pieces):
            own = tuple(each for each in pieces if each.quote == number)
            made = plan_wire(wire, own, stock, policy(terms, for_the_job=True), FOR_A_PRICE)
            found.append(replace(made, for_quote=number))
    return tuple(found)


def bought_for_the_job(wire: Wire) -> bool:
    """Whether the shop buys this wire only when a job needs it."""
    return wire.bought == "for_the_job"
