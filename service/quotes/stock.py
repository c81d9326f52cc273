"""The shelf's use cases: listing the stock, taking cutting plans, and reversing a take."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pricing.money import minor_unit
from pricing.rows import StockRow
from pricing.stock.movements import NotThere, after, reverse, take
from service.http.current import engine, plans, shelves, store
from service.http.problems import Problem, fault, unknown
from service.lifecycle.actions import MovementOrder
from service.quotes.cutting import mark_cut, mark_not_cut
from service.quotes.shelf_count import by, document, of_document, row_document
from service.storage import NotMoved, StoredPlan
from service.storage.shelves import REVERSAL, TAKE

Document = dict[str, Any]


def take_plan(plan_id: str, order: MovementOrder) -> Document:
    """Take a plan: the stock it cuts leaves the shelf, the remnants it keeps are added under new tags, and its quotes are in work. Returns the
    movement. Raises Problem: 404, 409.
    """
    plan = _plan(plan_id).parsed()
    if plan["stock_source"] == "request":
        words = "This plan was made on stock given in the request; only a plan on the shop's own shelf can be taken. Make the plan again without that stock."
        raise Problem(409, words, [fault("#", "other_stock", words)])
    spools = engine().planner.spools(engine().today())

    _refuse_empty(plan)

    def change(rows: tuple[StockRow, ...], tags: Any) -> tuple[tuple[StockRow, ...], Document]:
        moved = take(plan, rows, spools, Decimal(1).scaleb(-minor_unit(plan["currency"])), tags)
        return after(moved, rows), {**by(order), **document(moved)}

    with store().together():
        mark_cut(_quotes_of(plan_id, plan), plan, order)
        return _moved(TAKE, plan_id, change)


def _refuse_empty(plan: Document) -> None:
    if not any(wire["uses"] for wire in plan["wires"]):
        left = [each["message"] for each in plan.get("left_out", ())]
        words = " ".join(
            ["This plan cuts nothing, so there is nothing to take.", *(left or ["Make a plan of pieces that the stock holds."])]
        )
        raise Problem(409, words, [fault("#", "nothing_to_cut", words)])


def _quotes_of(plan_id: str, plan: Document) -> list[str]:
    """The ids of a plan's quotes, always sorted, so that two takes that lock the same quotes cannot deadlock."""
    own = plans().quote_of(plan_id)
    return sorted({*([own] if own else []), *(each["id"] for each in plan.get("quotes", ()))})


def reversed_(plan_id: str, order: MovementOrder) -> Document:
    """Put back the stock that a plan took. Returns the movement. Raises Problem: 404, 409."""
    plan = _plan(plan_id).parsed()
    held = shelves().take_of(plan_id)

    def change(rows: tuple[StockRow, ...], _: Any) -> tuple[tuple[StockRow, ...], Document]:
        back = reverse(of_document(held.parsed() if held else {"removed": [], "added": []}), rows)
        return after(back, rows), {**by(order), **document(back)}

    with store().together():
        if held is not None:
            mark_not_cut(_quotes_of(plan_id, plan), plan, order)
        return _moved(REVERSAL, plan_id, change)


def listed() -> Document:
    """The stock on the shelf, with the number of objects and the metres per wire."""
    held = shelves().now(engine().catalogue.stock)
    wires: dict[str, tuple[int, Decimal]] = {}
    for row in held.rows:
        objects, metres = wires.get(row.wire, (0, Decimal(0)))
        wires[row.wire] = (objects + row.count, metres + row.count * row.length / 1000)
    return {
        "version": held.version,
        "rows": [row_document(row) for row in held.rows],
        "wires": [{"wire": sku, "objects": objects, "metres": f"{metres:.3f}"} for sku, (objects, metres) in sorted(wires.items())],
    }


def _plan(plan_id: str) -> StoredPlan:
    found = plans().get(plan_id)
    if found is None:
        raise unknown("id", "unknown_plan", "There is no cutting plan with this id: `GET /v1/cutting-plans` lists all plans.")
    return found


def _moved(type_: str, plan_id: str | None, change: Any) -> Document:
    try:
        return shelves().move(type_, plan_id, engine().catalogue.stock, change)
    except NotMoved as error:
        raise Problem(409, str(error), [fault("#", error.code, str(error))]) from None
    except NotThere as error:
        words = "The shelf no longer holds what this plan needs, and nothing was moved: make another plan."
        raise Problem(409, words, [fault("#", "not_on_the_shelf", reason) for reason in error.reasons]) from None
