"""What `plan` refuses, with a pointer to each fault, and what it plans at the edges of the input. Rules: the docstrings of pricing/cutting."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.cutting import InvalidOrder, Limits, Piece, Plan, Policy, Source, Stock, plan
from tests.counts import some

from .workshop import FEE, PAID, order

D = Decimal
PIECES = [Piece(D(4000), 2, "shroud")]
SPOOL = Stock("spool", D(100_000), price_per_metre=D(6), count=None)
STOCK = [SPOOL]


def refused(**asked: Any) -> set[tuple[str, str]]:
    given = {"pieces": PIECES, "stock": STOCK, "policy": Policy()} | asked
    with pytest.raises(InvalidOrder) as caught:
        plan(**given)
    assert all(failure.detail for failure in caught.value.failures)
    return {(failure.pointer, failure.code) for failure in caught.value.failures}


@pytest.mark.parametrize(
    ("asked", "pointer", "code"),
    [
        ({"stock": []}, "/stock", "no_stock"),
        ({"stock": [Stock("a", D(0), price=D(1))]}, "/stock/0/length", "not_positive"),
        ({"stock": [Stock("a", D(-1), price=D(1))]}, "/stock/0/length", "not_positive"),
        ({"stock": [SPOOL, SPOOL]}, "/stock/1/id", "repeated_id"),
        ({"stock": [Stock("", D(9), price=D(1))]}, "/stock/0/id", "no_id"),
        ({"stock": [Stock("a", D(9))]}, "/stock/0/price", "price_unclear"),
        ({"stock": [Stock("a", D(9), price=D(1), price_per_metre=D(1))]}, "/stock/0/price", "price_unclear"),
        ({"stock": [Stock("a", D(9), price=D("1.005"))]}, "/stock/0/price", "too_many_decimals"),
        ({"stock": [Stock("a", D(9), price=D("-0.01"))]}, "/stock/0/price", "negative_amount"),
        ({"stock": [Stock("a", D(9), price=D("NaN"))]}, "/stock/0/price", "not_an_amount"),
        ({"stock": [Stock("a", D(9), Source.OFFCUT, price=D(1), count=None)]}, "/stock/0/count", "not_unlimited"),
        ({"stock": [Stock("a", D(9), price=D(1), count=-1)]}, "/stock/0/count", "not_a_count"),
        ({"pieces": [*PIECES, Piece(D(0))]}, "/pieces/1/length", "not_positive"),
        ({"pieces": [Piece(D(-4000))]}, "/pieces/0/length", "not_positive"),
        ({"pieces": [Piece(D("4000.05"))]}, "/pieces/0/length", "too_fine"),
        ({"pieces": [Piece(D("Infinity"))]}, "/pieces/0/length", "not_a_length"),
        ({"pieces": [Piece(4000.0)]}, "/pieces/0/length", "not_a_length"),
        ({"pieces": [Piece(D(4000), 0)]}, "/pieces/0/quantity", "not_a_quantity"),
        ({"pieces": [Piece(D(4000), 600_000), Piece(D(4001), 600_000)]}, "/pieces", "too_many_pieces"),
        ({"policy": Policy(allowance=D("0.05"))}, "/policy/allowance", "too_fine"),
        ({"policy": Policy(remnant_fee=D("3.001"))}, "/policy/remnant_fee", "too_many_decimals"),
        ({"policy": Policy(remnant_fee=D("sNaN"))}, "/policy/remnant_fee", "not_an_amount"),
        ({"policy": Policy(remnant_fee=D("-Infinity"))}, "/policy/remnant_fee", "not_an_amount"),
        ({"policy": Policy(remnant_fee=float("inf"))}, "/policy/remnant_fee", "not_an_amount"),
        ({"policy": Policy(allowance=D("NaN"))}, "/policy/allowance", "not_a_length"),
        ({"policy": Policy(touch=D("0.5"), minor_digits=0)}, "/policy/touch", "too_many_decimals"),
        ({"policy": Policy(minor_digits=-1)}, "/policy/minor_digits", "not_minor_digits"),
        ({"limits": Limits(seconds=1.0)}, "/limits/seconds", "no_clock"),
        ({"limits": Limits(seconds=float("nan"), clock=float)}, "/limits/seconds", "not_positive"),
        ({"limits": Limits(seconds="5", clock=float)}, "/limits/seconds", "not_seconds"),
        ({"limits": Limits(dives=-1)}, "/limits/dives", "not_a_count"),
    ],
)  # fmt: skip
def test_one_fault_is_refused_with_its_pointer(asked: dict[str, Any], pointer: str, code: str) -> None:
    assert refused(**asked) == {(pointer, code)}


def test_all_faults_are_reported_at_once() -> None:
    policy = Policy(touch=D(-1), allowance=D(-1), minor_digits=7)
    assert refused(pieces=[Piece(D(0)), Piece(D(1), 0)], stock=[], policy=policy, limits=Limits(seconds=1.0)) == {
        ("/pieces/0/length", "not_positive"),
        ("/pieces/1/quantity", "not_a_quantity"),
        ("/stock", "no_stock"),
        ("/policy/minor_digits", "not_minor_digits"),
        ("/policy/allowance", "not_positive"),
        ("/policy/touch", "negative_amount"),
        ("/limits/seconds", "no_clock"),
    }


def test_a_piece_longer_than_any_stock_is_named_and_the_others_are_planned() -> None:
    found = plan([Piece(D("100000.1"), 3, "too long"), *PIECES], STOCK)
    assert [(each.row, each.label, each.quantity, each.reason) for each in found.unplanned] == [(0, "too long", 3, "longer_than_any_stock")]
    assert [cut.label for use in found.uses for cut in use.cuts] == ["shroud", "shroud"]


def test_pieces_that_the_stock_does_not_hold_are_named() -> None:
    found = plan([Piece(D(4000), 3, "shroud")], [Stock("offcut", D(9000), Source.OFFCUT, price=D(9))])
    assert [(each.quantity, each.reason) for each in found.unplanned] == [(1, "stock_exhausted")]


def test_an_order_without_pieces_costs_nothing_and_touches_nothing() -> None:
    found = plan([], STOCK)
    assert (found.uses, found.cost, found.proven) == ((), 0, True)


def test_equal_pieces_fill_spools_one_after_the_other() -> None:
    """By hand: 24 pieces of 4 m and 4 mm take 96.096 m of a spool of 100 m, so 50 pieces need three spools, at 600 each if remnants are worth nothing."""
    found = plan([Piece(D(4000), 50)], STOCK, Policy(allowance=D(4), remnant_fee=D("Infinity")))
    assert (found.cost, len(found.uses), found.proven) == (1800, 3, True)


# the guide's rule: the used length is every piece plus its allowance, the last one too
OFFCUT_POLICY = Policy(allowance=D("3.0"), remnant_fee=D(3))


def with_offcut(length: str) -> Plan:
    return plan([Piece(D(4000))], [SPOOL, Stock("offcut", D(length), Source.OFFCUT, price_per_metre=D(6))], OFFCUT_POLICY)


def test_an_offcut_of_exactly_a_piece_and_its_allowance_is_used_up() -> None:
    (use,) = with_offcut("4003.0").uses
    assert (use.stock_id, use.used, use.remnant, use.remnant_id) == ("offcut", D(4003), 0, None)


@pytest.mark.parametrize("length", ["4002.9", "4000.0"])
def test_an_offcut_too_short_for_the_allowance_is_left_alone(length: str) -> None:
    assert [use.stock_id for use in with_offcut(length).uses] == ["spool"]


def test_thousands_of_pieces_are_all_cut_once_within_their_objects() -> None:
    asked = order(1, some(20_000, 2_500), 4, 30, FEE)
    found = plan(asked.pieces, asked.stock, asked.policy, Limits(fill_tries=1, column_rounds=0))
    assert found.unplanned == ()
    lengths = sorted(cut.length for use in found.uses for cut in use.cuts)
    assert lengths == sorted(piece.length for piece in asked.pieces for _ in range(piece.quantity))
    for use in found.uses:
        edges = [edge for cut in use.cuts for edge in (cut.start, cut.end)]
        assert edges == sorted(edges)
        assert edges[-1] + asked.policy.allowance + use.remnant == use.length


def test_hundreds_of_different_offcuts_are_planned() -> None:
    """By hand: all are worth 6.00 a metre, and one of 7,006 mm is used up by 4 m and 3 m with 3 mm each: 42.036."""
    offcuts = [Stock(f"offcut {n}", D(5000 + 7 * n), Source.OFFCUT, price_per_metre=D(6)) for n in range(1200)]
    offcuts.append(Stock("exact", D(7006), Source.OFFCUT, price_per_metre=D(6)))
    found = plan([Piece(D(4000)), Piece(D(3000))], offcuts, OFFCUT_POLICY)
    assert (found.cost, found.proven, [use.stock_id for use in found.uses]) == (D("42.036"), True, ["exact"])


class Ticking:
    """A clock that goes on by a second each time it is looked at."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        self.now += 1
        return self.now


@pytest.mark.parametrize("policy", [FEE, PAID], ids=["fee", "paid"])
def test_every_part_of_the_planner_watches_the_clock_and_still_answers(policy: Policy) -> None:
    asked = order(3, 60, 3, 12, policy)
    clock = Ticking()
    hurried = plan(asked.pieces, asked.stock, policy, Limits(seconds=2.0, clock=clock))
    assert clock.now < 30
    at_leisure = plan(asked.pieces, asked.stock, policy)
    assert hurried.lower_bound <= at_leisure.cost <= hurried.cost
    assert hurried.unplanned == ()


def test_the_steps_of_columns_are_limited_without_a_clock() -> None:
    spools = [Stock(f"spool {n}", D(15_000 + 2_500 * n), price=D(90 + 15 * n), count=None) for n in range(6)]
    asked = replace(order(3, 40, 0, 0, FEE), stock=spools)
    few = plan(asked.pieces, spools, FEE, Limits(transitions=0, table_work=0, close=0, column_work=0, mip_nodes=0))
    assert few.stage not in ("column generation", "integer programme")


def test_the_bound_knows_that_no_object_holds_less_than_the_shortest_piece() -> None:
    """By hand: ten pieces of 10 m fill a spool, eleven of 9,100 to 9,110 mm are 155 mm more than another.

    Whatever a third spool holds, at least 9,100 mm, is missing on the first two, but for 155 mm: so two rests are kept, for two fees.
    Water would fill two spools and keep one rest.
    """
    spool = Stock("spool", D(100_000), price_per_metre=D(6), count=None)
    pieces = [Piece(D(10_000), 10), *(Piece(D(9100 + n)) for n in range(11))]
    policy = Policy(touch=D(1), remnant_fee=D(4), least_remnant=D(500))
    found = plan(pieces, [spool], policy, Limits(transitions=0, table_work=0, column_rounds=0))
    used = 100_000 + sum(9100 + n for n in range(11))
    assert (found.cost, found.lower_bound) == (D(6) * used / 1000 + 3 * 1 + 2 * 4, found.cost)
