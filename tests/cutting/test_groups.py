"""Port and starboard are cut from one object if that costs nothing. For small orders the test searches exhaustively: every way of placing
single pieces."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from pricing.cutting import Limits, Piece, Plan, Policy, Source, Stock, plan
from tests.counts import some

from .workshop import FEE, PAID, order

D = Decimal


def split(found: Plan) -> int:
    """How many groups lie on more than one object."""
    objects = Counter(group for use in found.uses for group in {cut.group for cut in use.cuts if cut.group is not None})
    return sum(n > 1 for n in objects.values())


def test_pairs_of_equal_lengths_change_places_until_each_is_together() -> None:
    # two objects of 10 m, four pieces of 4,900 and 5,000 mm of two pairs: each object takes one of both lengths, as long as the pair's other
    stock = [Stock(f"S{n}", D(9_900), Source.OFFCUT, price=D(10)) for n in (1, 2)]
    pieces = [
        Piece(D(5_000), 1, "A-P", "A"),
        Piece(D(5_000), 1, "B-P", "B"),
        Piece(D(4_900), 1, "B-S", "B"),
        Piece(D(4_900), 1, "A-S", "A"),
    ]
    found = plan(pieces, stock, Policy())
    assert split(found) == 0


def test_pairs_among_single_pieces_of_the_same_lengths_are_kept_together() -> None:
    # three offcuts of 10 m, each takes 6 m and 4 m; the pair is of both lengths and stands last among four others
    stock = [Stock(f"S{n}", D(10_000), Source.OFFCUT, price=D(10)) for n in (1, 2, 3)]
    pieces = [Piece(D(6_000), 2), Piece(D(4_000), 1, "P", "A"), Piece(D(4_000), 2), Piece(D(6_000), 1, "S", "A")]
    assert split(plan(pieces, stock, Policy())) == 0


def test_pieces_of_unequal_lengths_change_places_where_kept_remnants_are_worth_the_same() -> None:
    # spools of 20 m at 6.00 a metre: three hold five pieces of 7 to 9 m whichever lie together, and whatever is left is kept
    spool = Stock("S", D(20_000), price_per_metre=D(6), count=None)
    pieces = [Piece(D(9_000), 1, "A-P", "A"), Piece(D(8_000), 1), Piece(D(7_500), 1), Piece(D(7_000), 1, "A-S", "A"), Piece(D(7_200), 1)]
    found = plan(pieces, [spool], Policy(touch=D(1), remnant_fee=D(2)))
    assert (split(found), found.proven, len(found.uses)) == (0, True, 3)


@pytest.mark.parametrize("policy", [FEE, PAID], ids=["fee", "paid"])
def test_groups_cost_nothing(policy: Policy) -> None:
    """The same order without groups costs the same and is as far proven."""
    for seed in range(some(40, 12)):
        rng = Random(seed)
        asked = order(seed, 4 + seed % 20, 2, 6, policy)
        grouped = [replace(piece, group=rng.choice([None, "a", "b", "c", "d"])) for piece in asked.pieces]
        limits = Limits(first_rung_only=seed % 2 == 0)
        one, other = plan(grouped, asked.stock, policy, limits), plan(asked.pieces, asked.stock, policy, limits)
        assert one.cost <= other.cost
        assert one.proven >= other.proven
