"""One plan per wire: pieces and stock of different wires are independent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from pricing.costing.terms import Terms
from pricing.cutting import Limits, Plan, Policy, Stock, plan
from pricing.rows import Wire
from pricing.stock.pieces import WantedPieces
from pricing.stock.shelf import Shelf, policy

FIRST_RUNG = Limits(first_rung_only=True, work=600_000_000)
#: For wire bought for the job, whose remnant the customer pays for: every rung that counts in integers, limited by steps alone, so that
#: preview, quote, recompute and a plan of many quotes buy the same lengths, on any machine and under any load. The steps are shared by all
#: such wires of a quote, a third of a second in all; trial orders of 60 pieces needed up to nine tenths of them, orders of 20 a twentieth.
FOR_A_PRICE = Limits(column_rounds=0, work=600_000_000)


@dataclass(frozen=True, slots=True)
class WirePlan:
    """The plan of one wire, with the `policy` it was made under; `plan` is None if there is no stock of that wire at all.

    `for_quote` is the number of the quote the wire is bought for: its customer pays for the remnant.
    """

    wire: Wire
    wanted: tuple[WantedPieces, ...]
    policy: Policy
    plan: Plan | None
    for_quote: str | None = None

    @property
    def bought_for_the_job(self) -> bool:
        """Whether the remnant is worth nothing to the shop."""
        return not self.policy.remnant_fee.is_finite()

    def remnant_metres(self) -> Decimal:
        """The total length of the remnants, in metres."""
        return sum((use.remnant for use in self.plan.uses), Decimal(0)) / 1000 if self.plan else Decimal(0)


def by_wire(wanted: Iterable[WantedPieces]) -> dict[str, tuple[WantedPieces, ...]]:
    """The pieces of each wire, in the order requested."""
    pieces_by_sku: dict[str, list[WantedPieces]] = {}
    for each in wanted:
        pieces_by_sku.setdefault(each.sku, []).append(each)
    return {sku: tuple(pieces) for sku, pieces in pieces_by_sku.items()}


def plan_wire(wire: Wire, pieces: tuple[WantedPieces, ...], stock: tuple[Stock, ...], rules: Policy, limits: Limits) -> WirePlan:
    """Plan one wire. Raises `pricing.cutting.InvalidOrder` for pieces or stock that cannot be planned."""
    cutting_plan = plan([each.piece() for each in pieces], stock, rules, limits) if stock else None
    return WirePlan(wire, pieces, rules, cutting_plan)


def plan_quotes(
    wanted: Iterable[WantedPieces],
    wires: Mapping[str, Wire],
    shelf: Shelf,
    terms: Terms,
    limits: Limits = FIRST_RUNG,
    only: Callable[[Wire], bool] = lambda _: True,
) -> tuple[WirePlan, ...]:
    """Plan all pieces of one or more quotes, wire by wire; wire bought for the job is planned per quote, as each customer pays for it.

    A time limit applies to all plans together. Every wire must be in `wires`: the caller leaves out wires that the catalogue no longer has.
    `only` selects the wires to plan. Raises `pricing.cutting.InvalidOrder`.
    """
    by_sku = {sku: pieces for sku, pieces in by_wire(wanted).items() if only(wires[sku])}
    for_the_job = _pieces_by_quote(each for sku, pieces in by_sku.items() if bought_for_the_job(wires[sku]) for each in pieces)
    time = _Time(limits, sum(map(_many, by_sku.values())))
    plans = []
    for sku, pieces in by_sku.items():
        wire = wires[sku]
        stock = shelf.for_quote(wire, terms)
        if not bought_for_the_job(wire):
            plans.append(plan_wire(wire, pieces, stock, policy(terms), time.of(pieces, limits)))
            continue
        for number, own in _by_quote(pieces).items():
            steps = FOR_A_PRICE.work * _many(own) // for_the_job[number]
            planned = plan_wire(wire, own, stock, policy(terms, for_the_job=True), time.of(own, replace(FOR_A_PRICE, work=steps)))
            plans.append(replace(planned, for_quote=number))
    return tuple(plans)


def _many(pieces: Iterable[WantedPieces]) -> int:
    return sum(each.quantity for each in pieces)


def _by_quote(pieces: Iterable[WantedPieces]) -> dict[str | None, tuple[WantedPieces, ...]]:
    by_quote: dict[str | None, list[WantedPieces]] = {}
    for each in pieces:
        by_quote.setdefault(each.quote, []).append(each)
    return {number: tuple(own) for number, own in by_quote.items()}


def _pieces_by_quote(pieces: Iterable[WantedPieces]) -> Counter[str | None]:
    """Number of pieces in each quote."""
    counts: Counter[str | None] = Counter()
    for each in pieces:
        counts[each.quote] += each.quantity
    return counts


class _Time:
    """The time limit of one order, shared among its wires by number of pieces; time left over goes to the next ones."""

    def __init__(self, limits: Limits, pieces: int) -> None:
        self._clock, self._left = limits.clock, pieces
        self._end = limits.clock() + limits.seconds if limits.clock is not None and limits.seconds is not None else None

    def of(self, pieces: Iterable[WantedPieces], limits: Limits) -> Limits:
        """The same limits with these pieces' share of the time."""
        many = _many(pieces)
        share, self._left = many / max(many, self._left), self._left - many
        if self._clock is None or self._end is None:
            return limits
        return replace(limits, seconds=max(0.0, self._end - self._clock()) * share, clock=self._clock)


def bought_for_the_job(wire: Wire) -> bool:
    """Whether the shop buys this wire only when a job needs it."""
    return wire.bought == "for_the_job"
