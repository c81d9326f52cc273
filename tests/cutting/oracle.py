"""An independent exact solver for tiny orders: sets of single pieces as bit masks, plain Python, no shared code.

It reads the public rows only and counts money in ten-thousandths of the minor unit, a rest's value
rounded down to one, as the engine documents. Fractions, no floats, no numpy.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import floor

from pricing.cutting import Piece, Policy, Stock

HUGE = 10**30


def money_unit(policy: Policy) -> Fraction:
    return Fraction(1, 10 ** (policy.minor_digits + 4))


def object_cost(row: Stock, used: Fraction, policy: Policy) -> int:
    unit = money_unit(policy)
    length = Fraction(row.length)
    worth = Fraction(row.price) if row.price is not None else Fraction(row.price_per_metre or 0) * length / 1000
    touch = Fraction(policy.touch if row.touch is None else row.touch)
    remnant = length - used
    back = Fraction(0)
    if policy.remnant_fee != Decimal("Infinity") and remnant > 0 and remnant >= Fraction(policy.least_remnant):
        back = max(Fraction(0), floor(worth * remnant / length / unit) * unit - Fraction(policy.remnant_fee))
    cost = (touch + worth - back) / unit
    assert cost.denominator == 1
    return int(cost)


def _subset_lengths(pieces: list[Piece], policy: Policy) -> list[Fraction]:
    single = [Fraction(p.length) + Fraction(policy.allowance) for p in pieces for _ in range(p.quantity)]
    lengths = [Fraction(0)]
    for length in single:
        lengths += [length + other for other in lengths]
    return lengths


def _costs(row: Stock, lengths: list[Fraction], policy: Policy) -> list[int]:
    known: dict[Fraction, int] = {}
    for length in lengths:
        if length not in known:
            known[length] = object_cost(row, length, policy) if length <= Fraction(row.length) else HUGE
    made = [known[length] for length in lengths]
    made[0] = 0
    return made


def _any_number(costs: list[int]) -> list[int]:
    """Least cost of each set from any number of equal sources; the set's highest piece picks its source first."""
    best = [0] + [HUGE] * (len(costs) - 1)
    for whole in range(1, len(costs)):
        high = 1 << (whole.bit_length() - 1)
        part = whole
        while part & high:
            best[whole] = min(best[whole], costs[part] + best[whole ^ part])
            part = (part - 1) & whole
    return best


def _one_more(before: list[int], costs: list[int]) -> list[int]:
    after = list(before)
    for whole in range(len(before)):
        part = whole
        while part:
            after[whole] = min(after[whole], costs[part] + before[whole ^ part])
            part = (part - 1) & whole
    return after


def solve(pieces: list[Piece], stock: list[Stock], policy: Policy) -> tuple[Fraction, Decimal]:
    """(greatest gross length that can be placed at all, least cost of placing it)."""
    lengths = _subset_lengths(pieces, policy)
    endless = [_costs(row, lengths, policy) for row in stock if row.count is None]
    table = _any_number([min(c) for c in zip(*endless, strict=True)] if endless else [0] + [HUGE] * (len(lengths) - 1))
    for row in stock:
        for _ in range(min(row.count or 0, len(lengths).bit_length() - 1)):
            table = _one_more(table, _costs(row, lengths, policy))
    longest = max(length for length, cost in zip(lengths, table, strict=True) if cost < HUGE)
    least = min(cost for length, cost in zip(lengths, table, strict=True) if length == longest)
    unit = money_unit(policy)
    return longest, Decimal(least) * unit.numerator / unit.denominator
