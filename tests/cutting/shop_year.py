"""One wire in a shop over many days: each day's order is cut, spools are bought as needed, and kept remnants are the next day's stock.

Sizes, prices and the flow of orders are invented (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from random import Random

from pricing.cutting import Piece, Policy, Source, Stock

SPOOLS = [
    Stock("spool 50", Decimal(50_000), price_per_metre=Decimal("6.40"), count=None),
    Stock("spool 100", Decimal(100_000), price_per_metre=Decimal("6.15"), count=None),
    Stock("spool 250", Decimal(250_000), price_per_metre=Decimal("6.00"), count=None),
]
FLOOR = min(row.price_per_metre or Decimal(0) for row in SPOOLS)
WORTH = Decimal(1000)
#: A rest from this length on is an opened spool, below it an offcut.
OPENED = Decimal(20_000)


@dataclass(frozen=True, slots=True)
class Taken:
    """One touched object: its stock row, millimetres used, the remnant, and whether that is kept."""

    row: Stock
    used: Decimal
    remnant: Decimal
    kept: bool


Planner = Callable[[list[Piece], list[Stock], Policy], list[Taken]]


@dataclass
class Shop:
    """The shelf and the books, in mm and money."""

    policy: Policy
    planner: Planner
    shelf: list[Stock] = field(default_factory=list)
    bought: Decimal = Decimal(0)
    paid: Decimal = Decimal(0)
    pieces: Decimal = Decimal(0)
    allowances: Decimal = Decimal(0)
    scrap: Decimal = Decimal(0)
    names: int = 0

    def day(self, pieces: list[Piece]) -> None:
        """Cut one order."""
        for taken in self.planner(pieces, [*SPOOLS, *self.shelf], self.policy):
            if taken.row.source is Source.NEW:
                self.bought += taken.row.length
                self.paid += worth(taken.row)
            else:
                self.shelf.remove(taken.row)
            if taken.kept:
                self._keep(taken)
            else:
                self.scrap += taken.remnant
        self.pieces += sum((piece.length * piece.quantity for piece in pieces), Decimal(0))
        self.allowances += sum(piece.quantity for piece in pieces) * self.policy.allowance

    def _keep(self, taken: Taken) -> None:
        self.names += 1
        source = Source.OPENED if taken.remnant >= OPENED else Source.OFFCUT
        self.shelf.append(Stock(f"rest {self.names:04d}", taken.remnant, source, price_per_metre=taken.row.price_per_metre))

    @property
    def left(self) -> Decimal:
        """Millimetres on the shelf."""
        return sum((row.length for row in self.shelf), Decimal(0))

    @property
    def cost_per_metre(self) -> Decimal:
        """The amount paid less the shelf's value at its own price, per metre of pieces and allowances."""
        left = sum((worth(row) for row in self.shelf), Decimal(0))
        return (self.paid - left) * 1000 / (self.pieces + self.allowances)


def worth(row: Stock) -> Decimal:
    return (row.price_per_metre or Decimal(0)) * row.length / WORTH


def orders(seed: int, days: int) -> list[list[Piece]]:
    """A boat's wires of one size a day: two to twelve, mostly in pairs, 1.2 to 22 m."""
    rng = Random(seed)
    made = []
    for _ in range(days):
        rows = [Piece(Decimal(rng.randint(12_000, 220_000)) / 10, rng.choice([1, 2, 2])) for _ in range(rng.randint(1, 6))]
        made.append(rows)
    return made


def run(policy: Policy, planner: Planner, seed: int, days: int) -> Shop:
    shop = Shop(policy, planner)
    for pieces in orders(seed, days):
        shop.day(pieces)
    return shop
