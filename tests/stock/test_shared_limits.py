"""Steps and seconds of one order, shared among its wires by their pieces; by hand in the comments."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.catalogue import load_catalogue
from pricing.cutting import Limits
from pricing.errors import RequestError
from pricing.rows import Wire
from pricing.stock import planning
from pricing.stock.pieces import QuoteToPlan, WantedPieces
from pricing.stock.plan_order import MOST_PIECES, PlanOrder, plan_together
from pricing.stock.planning import FOR_A_PRICE, plan_quotes
from pricing.stock.shelf import Shelf
from tests.catalogue.conftest import SMALL
from tests.costing.shop import JULY, build


def wanted(sku: str, quantity: int, quote: str) -> WantedPieces:
    return WantedPieces(sku, Decimal(5000), quantity, "CAP-P", quote=quote)


def limits_of(monkeypatch: pytest.MonkeyPatch, wires: Iterable[Wire], pieces: list[WantedPieces], limits: Limits) -> list[Limits]:
    """With which limits each wire is planned."""
    found: list[Limits] = []
    as_it_is = planning.plan_wire

    def noted(*arguments: Any) -> Any:
        found.append(arguments[-1])
        return as_it_is(*arguments)

    with monkeypatch.context() as patched:
        patched.setattr(planning, "plan_wire", noted)
        plan_quotes(pieces, {each.sku: each for each in wires}, Shelf((), ()), build().at(JULY).terms, limits)
    return found


@pytest.fixture
def wires() -> tuple[Wire, Wire]:
    first = next(iter(load_catalogue(SMALL).wires.values()))
    return replace(first, sku="A", bought="for_the_job"), replace(first, sku="B", bought="for_the_job")


def test_the_wires_of_a_quote_share_its_steps_whatever_quotes_are_beside_it(
    monkeypatch: pytest.MonkeyPatch, wires: tuple[Wire, Wire]
) -> None:
    """30 of A and 10 of B: three quarters and one. Another quote has B alone, and all of its own steps."""
    pieces = [wanted("A", 30, "Q-1"), wanted("B", 10, "Q-1"), wanted("B", 4, "Q-2")]
    alone = limits_of(monkeypatch, wires, pieces[:2], Limits())
    beside = limits_of(monkeypatch, wires, pieces, Limits())
    whole = FOR_A_PRICE.work
    assert [each.work for each in alone] == [whole * 3 // 4, whole // 4]
    assert [each.work for each in beside] == [whole * 3 // 4, whole // 4, whole]
    assert all(each.clock is None and each.seconds is None for each in beside)


def test_the_seconds_of_a_plan_are_for_all_of_its_wires(monkeypatch: pytest.MonkeyPatch, wires: tuple[Wire, Wire]) -> None:
    """30 of 40 pieces may take 7.5 of 10 seconds. The clock stands still, so that all 10 are left for the last."""
    pieces = [wanted("A", 30, "Q-1"), wanted("B", 10, "Q-1")]
    found = limits_of(monkeypatch, wires, pieces, Limits(seconds=10.0, clock=lambda: 100.0))
    assert [each.seconds for each in found] == [7.5, 10.0]


def test_more_pieces_than_are_planned_at_once_are_refused() -> None:
    quote = QuoteToPlan("one", "Q-1", 1, None, "USD", "metric", (wanted("A", MOST_PIECES + 1, "Q-1"),), ())
    with pytest.raises(RequestError) as refused:
        plan_together(PlanOrder(), [quote], load_catalogue(SMALL), build().at(JULY), (), Limits())
    assert [(pointer, code) for pointer, code, _ in refused.value.faults] == [("/quotes", "too_many_pieces")]
