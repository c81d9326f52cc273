"""Orders of a workshop, generated from fixed seeds: rigging wires of 1.2 to 22 m off spools, opened spools and offcuts of one wire.

Invented sizes, common practice, no source. Lengths are to 0.1 mm, so that exact fills are rare, and every second order has no two
equal pieces, which is the hardest case of the exact table; the other half comes in pairs, port and starboard.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from random import Random

from pricing.cutting import Piece, Policy, Source, Stock

FEE = Policy(allowance=Decimal(3), least_remnant=Decimal(800), touch=Decimal("1.50"), remnant_fee=Decimal(3))
PAID = replace(FEE, remnant_fee=Decimal("Infinity"))
PER_METRE = Decimal("6.00")


@dataclass(frozen=True, slots=True)
class Order:
    pieces: list[Piece]
    stock: list[Stock]
    policy: Policy


def order(seed: int, pieces: int, opened: int, offcuts: int, policy: Policy) -> Order:
    """So many pieces and so many opened spools and offcuts; three spool types without limit."""
    rng = Random(f"{seed} {pieces} {opened} {offcuts}")
    return Order(_pieces(rng, pieces, pairs=seed % 2 == 1), _spools() + _ready(rng, opened, offcuts), policy)


def _pieces(rng: Random, count: int, *, pairs: bool) -> list[Piece]:
    made = []
    while count:
        many = min(count, 2 if pairs and rng.random() < 0.7 else 1)
        made.append(Piece(Decimal(rng.randint(12_000, 220_000)) / 10, many, f"wire {len(made)}"))
        count -= many
    return made


def _spools() -> list[Stock]:
    """Longer spools are cheaper by the metre."""
    prices = {"50": "6.40", "100": "6.15", "250": "6.00"}
    return [Stock(f"spool {m}", Decimal(m) * 1000, price_per_metre=Decimal(p), count=None) for m, p in prices.items()]


def _ready(rng: Random, opened: int, offcuts: int) -> list[Stock]:
    rows = [("opened", Source.OPENED, 150_000, 2_000_000)] * opened + [("offcut", Source.OFFCUT, 9_000, 150_000)] * offcuts
    return [
        Stock(f"{name} {n}", Decimal(rng.randint(low, high)) / 10, source, price_per_metre=PER_METRE)
        for n, (name, source, low, high) in enumerate(rows)
    ]
