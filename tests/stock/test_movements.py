"""Taking a cutting plan off the shelf and putting it back. Shelves are small enough to be counted by eye."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

import pytest

from pricing.rows import Spool, StockRow
from pricing.stock.movements import NotThere, after, reverse, take

D = Decimal
OPENED = StockRow("OPEN", "W", "opened", D(30_000), None, D("2.10"), 1, None, "invented for tests")
CUTS = StockRow("CUT", "W", "offcut", D("4000.0"), None, D("1.90"), 2, D("0.50"), "invented for tests")
SPOOL = Spool("S100", "W", D(100_000), D("210.55"), date(2026, 1, 1), "invented for tests")
SHELF = (CUTS, OPENED)


def use(stock: str, length: str, remnant: str, *, kept: bool = True, number: int = 1) -> dict[str, Any]:
    name = f"{stock}#{number}"
    return {
        "stock": stock,
        "object": name,
        "length": {"mm": length},
        "remnant": {"mm": remnant},
        "remnant_kept": kept,
        "remnant_id": f"{name}/remnant" if kept else None,
    }


def plan(*uses: dict[str, Any]) -> dict[str, Any]:
    return {"wires": [{"wire": {"sku": "W"}, "uses": list(uses)}]}


def taken(*uses: dict[str, Any], shelf: tuple[StockRow, ...] = SHELF) -> Any:
    numbers = count(1)
    return take(plan(*uses), shelf, (SPOOL,), D("0.01"), lambda: f"R-{next(numbers)}")


def test_a_cut_object_is_gone_and_its_kept_remnant_has_a_tag_of_its_own() -> None:
    moved = taken(use("OPEN", "30000.0", "12345.6"), use("CUT", "4000.0", "10.0", kept=False))
    remnant = StockRow("R-1", "W", "opened", D("12345.6"), None, D("2.10"), 1, None, "remnant of OPEN#1")
    assert after(moved, SHELF) == (replace(CUTS, count=1), remnant)
    assert moved.kept_as == (("OPEN#1/remnant", "R-1"),)


def test_the_remnant_of_a_bought_spool_is_an_opened_spool_valued_at_its_cost_per_metre() -> None:
    # 210.55 for 100 m: 2.1055 a metre, 2.11 to the cent
    moved = taken(use("S100", "100000.0", "60000.0"), use("S100", "100000.0", "70000.0", number=2))
    assert moved.bought == ((SPOOL, 2),)
    assert [(row.id, row.kind, row.price_per_metre) for row in moved.added] == [("R-1", "opened", D("2.11")), ("R-2", "opened", D("2.11"))]
    assert moved.removed == ()


def test_the_remnant_of_an_offcut_stays_an_offcut() -> None:
    assert taken(use("CUT", "4000.0", "2000.0")).added[0].kind == "offcut"


@pytest.mark.parametrize(
    ("uses", "words"),
    [
        ([use("GONE", "9000.0", "1.0")], "not on the shelf"),
        ([use("OPEN", "29000.0", "1.0")], "not 29000.0 mm of W any more"),
        ([use("CUT", "4000.0", "1.0", number=n) for n in (1, 2, 3)], "needed 3 times and there 2 times"),
    ],
)
def test_a_missing_object_is_named_and_nothing_moves(uses: list[dict[str, Any]], words: str) -> None:
    with pytest.raises(NotThere, match=words):
        taken(use("OPEN", "30000.0", "5000.0"), *uses) if "OPEN" not in uses[0]["stock"] else taken(*uses)


def test_undoing_restores_the_shelf_exactly() -> None:
    moved = taken(use("OPEN", "30000.0", "12345.6"), use("CUT", "4000.0", "2000.0"), use("S100", "100000.0", "60000.0"))
    cut = after(moved, SHELF)
    assert after(reverse(moved, cut), cut) == SHELF


def test_a_remnant_that_has_been_cut_since_cannot_be_put_back() -> None:
    first = taken(use("OPEN", "30000.0", "12345.6"))
    shelf = after(first, SHELF)
    second = take(plan(use("R-1", "12345.6", "2000.0")), shelf, (), D("0.01"), lambda: "R-9")
    with pytest.raises(NotThere, match="R-1 is no longer on the shelf"):
        reverse(first, after(second, shelf))


def test_an_object_longer_by_less_than_a_tenth_than_the_plan_saw_is_the_same_object() -> None:
    inch = replace(CUTS, id="INCH", length=D("7937.5125"), count=1)  # planned on as 7937.5
    assert taken(use("INCH", "7937.5", "2000.0"), shelf=(inch,)).removed == ((inch, 1),)


def test_a_remnant_counted_with_another_length_cannot_be_put_back() -> None:
    moved = taken(use("OPEN", "30000.0", "12345.6"))
    counted = tuple(replace(row, length=D("12000.0")) if row.id == "R-1" else row for row in after(moved, SHELF))
    with pytest.raises(NotThere, match="R-1 is no longer on the shelf"):
        reverse(moved, counted)
