"""Small random orders at the edges of the rules: exact fills, remnants at the limit, fees of zero and of infinity."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from pricing.cutting import Piece, Policy, Source, Stock

Order = tuple[list[Piece], list[Stock], Policy]


def _tenths(value: int) -> Decimal:
    return Decimal(value) / 10


def _money(rng: Random, low: int, high: int) -> Decimal:
    return Decimal(rng.randint(low, high)) / 100


def _policy(rng: Random, grid: int) -> Policy:
    fee = rng.choice([Decimal(0), Decimal("Infinity"), _money(rng, 1, 300), _money(rng, 1, 2000)])
    return Policy(
        allowance=_tenths(rng.choice([0, 0, grid, rng.randint(0, 9)])),
        least_remnant=_tenths(rng.choice([0, grid, rng.randint(0, 12) * grid, rng.randint(0, 100)])),
        touch=rng.choice([Decimal(0), _money(rng, 0, 500)]),
        remnant_fee=fee,
    )


def _pieces(rng: Random, grid: int, most: int) -> list[Piece]:
    made: list[Piece] = []
    count = rng.randint(1, most)
    while count:
        quantity = min(count, rng.choice([1, 1, 1, 2, 3]))
        group = rng.choice([None, "a", "b"])
        made.append(Piece(_tenths(rng.randint(1, 14) * grid), quantity, f"p{len(made)}", group))
        count -= quantity
    return made


def _worth(rng: Random) -> tuple[Decimal | None, Decimal | None]:
    if rng.random() < 0.5:
        return rng.choice([Decimal(0), _money(rng, 1, 9000)]), None
    return None, rng.choice([Decimal(5), Decimal(6), _money(rng, 0, 900)])


def _row(rng: Random, grid: int, name: int, rate: Decimal) -> Stock:
    source = rng.choice([Source.NEW, Source.NEW, Source.OPENED, Source.OFFCUT])
    length = rng.choice([rng.randint(10, 45) * grid, rng.randint(3, 20) * grid, rng.randint(3, 30) * grid + rng.randint(-1, 1)])
    price, per_metre = _worth(rng) if rng.random() < 0.4 else (None, rate)
    count: int | None = rng.choice([1, 1, 2])
    if source is Source.NEW:
        count = rng.choice([None, None, 1, 3])
    touch = None if rng.random() < 0.8 else _money(rng, 0, 800)
    return Stock(f"s{name}", _tenths(length), source, price, per_metre, count, touch)


def small_order(seed: int, most: int = 7) -> Order:
    """One order; equal seeds give equal orders."""
    rng = Random(seed)
    grid = rng.choice([1, 7, 10, 10, 1000])
    rate = rng.choice([Decimal(5), Decimal(100), Decimal("0.25")]) * 1000 / grid if grid < 1000 else Decimal("6.25")
    rate = rate.quantize(Decimal("0.01"))
    stock = [_row(rng, grid, n, rate) for n in range(rng.randint(1, 5))]
    return _pieces(rng, grid, most), stock, _policy(rng, grid)
