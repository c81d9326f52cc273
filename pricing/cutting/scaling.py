"""Conversion between Decimal rows and an integer job."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import gcd

from .errors import Failure, InvalidOrder
from .job import Job, Kind
from .model import Piece, Policy, Source, Stock, Unplanned

#: Ten-thousandths per minor unit: a value per metre times 0.1 mm is a whole number of these.
FINE = 10_000
#: Sums and products of the planner stay below this, well within 64 bits.
LARGEST = 1 << 60


@dataclass(frozen=True, slots=True)
class Scaled:
    """The job, the piece rows of each piece type (`members`), the pieces longer than any stock, and the currency's decimals."""

    job: Job
    members: tuple[tuple[int, ...], ...]
    too_long: tuple[Unplanned, ...]
    digits: int

    def money(self, amount: int) -> Decimal:
        """Convert integer money to an exact Decimal."""
        return shown(Decimal(amount).scaleb(-self.digits) / FINE, self.digits)


def shown(amount: Decimal, digits: int) -> Decimal:
    """The same amount with at least the currency's decimals and no superfluous trailing zeros."""
    least = Decimal(1).scaleb(-digits)
    return amount.quantize(least) if amount == amount.quantize(least) else amount.normalize()


def tenths(length: Decimal) -> int:
    """Length in units of 0.1 mm, exact: finer lengths have already been refused."""
    return int(length * 10)


def scale(pieces: Sequence[Piece], stock: Sequence[Stock], policy: Policy) -> Scaled:
    """The integer job of a validated order; raises `InvalidOrder` if amounts would overflow."""
    allowance = tenths(policy.allowance)
    listed = max((tenths(s.length) for s in stock), default=0)
    longest = max((tenths(s.length) for s in stock if s.count != 0), default=0)
    rows: dict[int, list[int]] = defaultdict(list)
    too_long = []
    for n, piece in enumerate(pieces):
        gross = tenths(piece.length) + allowance
        if gross > longest:
            reason = "longer_than_any_stock" if gross > listed else "stock_exhausted"
            too_long.append(Unplanned(n, piece.label, piece.length, piece.quantity, reason))
        else:
            rows[gross].append(n)
    sizes = sorted(rows, reverse=True)
    demand = tuple(sum(pieces[n].quantity for n in rows[s]) for s in sizes)
    step = gcd(*sizes) or 1
    kinds = _kinds(stock, policy, step, sum(demand), sizes[-1] if sizes else 0)
    job = Job(tuple(s // step for s in sizes), demand, kinds, step)
    _refuse_overflow(job)
    return Scaled(job, tuple(tuple(rows[s]) for s in sizes), tuple(too_long), policy.minor_digits)


def _kinds(stock: Sequence[Stock], policy: Policy, step: int, pieces: int, shortest: int) -> tuple[Kind, ...]:
    alike: dict[tuple[int, int, int, bool, bool], list[int]] = defaultdict(list)
    for n, row in enumerate(stock):
        length = tenths(row.length)
        if row.count != 0 and 0 < shortest <= length:
            touch = _fine(policy.touch if row.touch is None else row.touch, policy)
            ready = row.source is not Source.NEW
            unlimited = row.count is None or row.count >= pieces
            alike[length, _value(row, policy), touch, ready, unlimited].append(n)
    fee = None if policy.remnant_fee.is_infinite() else _fine(policy.remnant_fee, policy)
    least = tenths(policy.least_remnant)
    kinds = []
    for (length, value, touch, ready, unlimited), members in alike.items():
        ordered = tuple((n, stock[n].count) for n in sorted(members, key=lambda n: stock[n].id))
        count = pieces if unlimited else min(pieces, sum(c or 0 for _, c in ordered))
        kind = Kind(length, length // step, step, count, ready, touch, value, least, fee, ordered, unlimited)
        kinds.append(((not ready, length, value, stock[ordered[0][0]].id), kind))
    return tuple(kind for _, kind in sorted(kinds, key=lambda pair: pair[0]))


def _fine(amount: Decimal, policy: Policy) -> int:
    return int(amount.scaleb(policy.minor_digits)) * FINE


def _value(row: Stock, policy: Policy) -> int:
    if row.price is not None:
        return _fine(row.price, policy)
    per_metre = row.price_per_metre or Decimal(0)
    return int(per_metre.scaleb(policy.minor_digits)) * tenths(row.length)


def _refuse_overflow(job: Job) -> None:
    dearest = max((k.value + k.touch + (k.fee or 0) for k in job.kinds), default=0)
    widest = max((k.value * k.length for k in job.kinds), default=0)
    if dearest * (job.pieces + 1) > LARGEST or widest > LARGEST:
        detail = "these amounts and lengths are too large to be planned exactly"
        raise InvalidOrder((Failure("/stock", "too_large", detail),))
