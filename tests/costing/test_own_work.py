"""Work of a shop's own kinds: a boat worked out by hand from the invented rows in shop.py and below, and what cannot be asked for."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from pricing.costing.demand import Demand, Order
from pricing.costing.own_work import own_work
from pricing.costing.rules import price
from pricing.costing.shares import shares
from pricing.errors import QuantityError, RequestError
from pricing.measurement.assembly import Discount, WorkAsked
from pricing.rows import Labour, Price
from tests.costing import shop
from tests.costing.shop import NEW_YEAR, SOURCE, demand


def at(*steps: str | int) -> str:
    """A JSON pointer (RFC 6901) of names and places that need no escape."""
    return "".join(f"/{each}" for each in steps)


D = Decimal
PRICED = (Price("CALL", "each", NEW_YEAR, D(1), D("62.40"), SOURCE), Price("SURVEY", "hour", NEW_YEAR, D(0), D("74.88"), SOURCE))
KNOWN = {
    operation: Labour(operation.upper(), operation, operation, None, None, None, SOURCE, counted_by)
    for operation, counted_by in (("call_out", "quote"), ("survey", "hour"), ("old_wire", "assembly"), ("tail_splice", "each"))
}


def asked(*work: tuple[str, str | None], of: Sequence[Sequence[tuple[str, str | None]]] = ((), ())) -> Any:
    """A request with this work at the quote, and at each of its assemblies."""

    def each(some: Sequence[tuple[str, str | None]]) -> tuple[WorkAsked, ...]:
        return tuple(WorkAsked(operation, None if quantity is None else D(quantity)) for operation, quantity in some)

    return SimpleNamespace(work=each(work), assemblies=[SimpleNamespace(work=each(one)) for one in of])


def own(sku: str, quantity: str, unit: str = "each") -> Demand:
    return Demand(sku=sku, name=sku.lower(), group="labour", quantity=D(quantity), unit=unit, own=True)


def test_a_call_out_and_a_survey_by_the_hour_come_to_the_hand_computed_document() -> None:
    # 4 x 18.50 = 74.00 at 20 %; 4 x 9.25 = 37.00, call-out 62.40, survey 1.5 h x 74.88 = 112.32, all three labour at 9 %: 211.72
    # lines 285.72; 10 % off: 7.40 and 21.172 -> 21.17; before tax 257.15; 20 % of 66.60 = 13.32; 9 % of 190.55 = 17.1495 -> 17.15; payable 287.62
    rates = shop.build(prices=(*shop.PRICES, *PRICED)).at(NEW_YEAR)
    listed = (demand("terminal", "4"), own("CALL", "1"), own("SURVEY", "1.5", "hour"), demand("swage", "4"))
    priced = price(Order(listed, "retail", discount=Discount("Winter", percent=D(10))), rates)
    assert [(line.sku, line.group, line.rule, str(line.quantity), line.unit, str(line.net)) for line in priced.lines] == [
        ("T5", "fitting", "articles", "4", "each", "74.00"), ("L5", "labour", "articles", "4", "each", "37.00"),
        ("CALL", "labour", "work", "1", "each", "62.40"), ("SURVEY", "labour", "work", "1.5", "hour", "112.32"),
    ]  # fmt: skip
    totals = priced.totals
    assert (totals.lines, totals.allowances, totals.tax_exclusive, totals.payable) == (D("285.72"), D("28.57"), D("257.15"), D("287.62"))
    assert [(share.rate, share.taxable, share.amount) for share in totals.tax] == [
        (20, D("66.60"), D("13.32")),
        (9, D("190.55"), D("17.15")),
    ]


def test_hours_are_priced_by_the_hour_and_above_zero() -> None:
    rates = shop.build(prices=(*shop.PRICES, *PRICED)).at(NEW_YEAR)
    for wrong in (own("SURVEY", "2"), own("CALL", "1", "hour"), own("SURVEY", "0", "hour"), own("CALL", "1.5")):
        with pytest.raises(QuantityError):
            price(Order((wrong,), "retail"), rates)


def test_a_line_partly_for_the_boat_is_shared_by_its_pieces_and_the_boats_part_belongs_to_no_assembly() -> None:
    """Splices: one on each of two pieces, two on a third assembly's one, three of the boat: 2 + 2 + 3 of 7, 100.00.

    28.5714, 28.5714 and 42.8571: rounded down 28.57, 28.57 and 42.85, and the cent to the largest remainder, 0.714, which is the boat's. A call-out, 62.40, and
    half an hour are of the boat alone.
    """
    splice, line = SimpleNamespace(sku="SPLICE"), lambda number, sku, net: SimpleNamespace(id=number, sku=sku, rule="work", net=D(net))
    wire = SimpleNamespace(sku="W")

    def counted(many: int, splices: int) -> Any:
        built = SimpleNamespace(assembly=SimpleNamespace(quantity=many))
        return SimpleNamespace(built=built, wire=wire, cut=D(1000), parts=(), work=((splice, SimpleNamespace(quantity=splices)),))

    lines: Any = [line("1", "SPLICE", "100.00"), line("2", "CALL", "62.40"), line("3", "SURVEY", "37.44")]
    of_the_boat = {"SPLICE": D(3), "CALL": D(1), "SURVEY": D("0.5")}
    assert shares([counted(2, 1), None, counted(1, 2)], lines, "USD", of_the_boat) == (D("28.57"), None, D("28.57"))


def test_work_counted_by_assembly_on_the_quote_applies_to_every_assembly() -> None:
    found = own_work(asked(("old_wire", None), ("survey", "1.5"), ("tail_splice", "3"), of=((("tail_splice", "2"),), ())), KNOWN)
    assert [(row.operation, quantity) for row, quantity in found.of_the_boat] == [("survey", D("1.5")), ("tail_splice", D(3))]
    assert [[(work.operation, work.quantity) for _, work in each] for each in found.of_each] == [
        [("old_wire", 1), ("tail_splice", 2)], [("old_wire", 1)],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("request_", "fault"),
    [
        (asked(("call_uot", None)), (at("work", 0, "operation"), "unknown_operation")),
        (asked(("swage", None)), (at("work", 0, "operation"), "unknown_operation")),  # the engine counts it by itself
        (asked(("call_out", None), ("call_out", "1")), (at("work", 1, "operation"), "duplicate_operation")),
        (asked(("call_out", "2")), (at("work", 0, "quantity"), "counted_once")),
        (asked(("old_wire", "2")), (at("work", 0, "quantity"), "counted_once")),
        (asked(("survey", None)), (at("work", 0, "quantity"), "required")),
        (asked(("tail_splice", "1.5")), (at("work", 0, "quantity"), "part_of_a_piece")),
        (asked(of=((), (("call_out", None),))), ("/assemblies/1/work/0/operation", "not_at_an_assembly")),
        (asked(of=((), (("survey", "1"),))), ("/assemblies/1/work/0/operation", "not_at_an_assembly")),
        (asked(("old_wire", None), of=((), (("old_wire", None),))), ("/assemblies/1/work/0/operation", "duplicate_operation")),
    ],
)
def test_work_that_cannot_be_requested_is_refused_at_its_place(request_: Any, fault: tuple[str, str]) -> None:
    with pytest.raises(RequestError) as refused:
        own_work(request_, KNOWN)
    assert [each[:2] for each in refused.value.faults] == [fault]


def test_an_unknown_kind_is_refused_with_the_nearest_and_all_known_kinds() -> None:
    with pytest.raises(RequestError, match=r"did you mean 'call_out'\? .* call_out, survey, old_wire, tail_splice"):
        own_work(asked(("Call-Uot", None)), KNOWN)
    with pytest.raises(RequestError, match="no kinds of work of its own"):
        own_work(asked(("call_out", None)), {})
