"""The shelf as the service shows and changes it: plans taken and undone, listed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pricing.bench.taking import NotThere, after, take, undo
from pricing.catalogue.rows import StockRow
from pricing.money import minor_unit
from service.life.said import Taking
from service.life.statuses import REASONS, Status
from service.parts import engine, plans, shelves, store
from service.problems import Problem, fault
from service.shelf_count import by, document, of_document, row_document
from service.storage import NotMoved, StoredPlan

Document = dict[str, Any]
ENDED = frozenset({Status.SUPERSEDED.value, Status.DECLINED.value, Status.WITHDRAWN.value})


def taken(plan_id: str, said: Taking) -> Document:
    """Take a plan: what it cut leaves the shelf, the rests it keeps come to it under tags of their own. Raises Problem: 404, 409."""
    plan = _plan(plan_id).said()
    if plan["planned_on"] == "request":
        words = "This plan was made on stock that the request brought along; only a plan on the shop's own shelf can be taken."
        raise Problem(409, words, [fault("#", "other_stock", words)])
    spools = engine().planner.spools(engine().today())

    _refuse_empty(plan)

    def change(rows: tuple[StockRow, ...], tags: Any) -> tuple[tuple[StockRow, ...], Document]:
        _refuse_ended(plan_id, plan)
        moved = take(plan, rows, spools, Decimal(1).scaleb(-minor_unit(plan["currency"])), tags)
        return after(moved, rows), {**by(said), **document(moved)}

    return _moved("taken", plan_id, change)


def _refuse_empty(plan: Document) -> None:
    if not any(wire["uses"] for wire in plan["wires"]):
        words = "This plan cuts nothing, so there is nothing to take. Make a plan of pieces that the stock holds."
        raise Problem(409, words, [fault("#", "nothing_to_cut", words)])


def _refuse_ended(plan_id: str, plan: Document) -> None:
    """Whether a quote of the plan came to an end since; one that has lapsed may still be built."""
    ids = [plans().quote_of(plan_id), *(each["id"] for each in plan.get("quotes", ()))]
    held = [quote for each in ids if each is not None and (quote := store().get(each)) is not None]
    gone = [each for each in held if each.status in ENDED]
    if gone:
        found = [f"{each.number}, revision {each.revision}, is {each.status}. {REASONS[Status(each.status)]}." for each in gone]
        words = "A quote of this plan is not wanted any more, and nothing was moved: make a plan without it."
        raise Problem(409, words, [fault("#", "quote_not_open", each) for each in found])


def undone(plan_id: str, said: Taking) -> Document:
    """Put back what a plan took. Raises Problem: 404, 409."""
    _plan(plan_id)
    held = shelves().taken(plan_id)

    def change(rows: tuple[StockRow, ...], _: Any) -> tuple[tuple[StockRow, ...], Document]:
        back = undo(of_document(held.said() if held else {"out": [], "came": []}), rows)
        return after(back, rows), {**by(said), **document(back)}

    return _moved("undone", plan_id, change)


def listed() -> Document:
    """What is on the shelf, and its count and metres by wire."""
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
        raise Problem(404, "There is no cutting plan with this id.")
    return found


def _moved(what: str, plan_id: str | None, change: Any) -> Document:
    try:
        return shelves().move(what, plan_id, engine().catalogue.stock, change)
    except NotMoved as error:
        raise Problem(409, str(error), [fault("#", f"not_{what}", str(error))]) from None
    except NotThere as error:
        words = "The shelf is not as this plan needs it, and nothing was moved: make another plan."
        raise Problem(409, words, [fault("#", "not_on_the_shelf", reason) for reason in error.reasons]) from None
