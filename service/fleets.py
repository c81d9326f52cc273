"""A batch as one fleet: made from its quotes once it is done, kept, and told again."""

from __future__ import annotations

from pricing.bench.order import PlanOrder
from pricing.errors import RequestError
from pricing.fleet import Fleet, buying_list
from service import json
from service.batched import batch, outcomes_of
from service.catalogues import NotKept
from service.engine import Document, Engine
from service.parts import batches, catalogues, engine, plans, shelves, store
from service.problems import Problem, fault
from service.storage import Progress
from service.storage.batches import DONE
from service.storage.records import moment

MOST_BOATS = 1000
MOST_PIECES_PROVEN = 60  # with more of them the planner's first rung alone, which always answers at once


def summary(batch_id: str) -> bytes:
    """The fleet's summary as JSON. Raises Problem: 404, 409 while the batch is not done or where it made no quote, 422 for too many boats."""
    found = batch(batch_id)
    kept = batches().summary(found.id)
    if kept is not None:
        return kept
    _judge(found)
    said = json.write(_made(found))
    batches().keep_summary(found.id, said)
    return said


def _judge(found: Progress) -> None:
    if found.state != DONE or not found.done:
        words = (
            "The batch is not done: ask again once it is." if found.state != DONE else "No line of the batch was quoted: there is no fleet."
        )
        raise Problem(409, words, [fault("#", "no_fleet", words)])
    if found.done > MOST_BOATS:
        words = f"a summary is made of at most {MOST_BOATS} boats, and this batch has {found.done}: send the fleet in several batches"
        raise Problem(422, "The batch is too large for a summary.", [fault("#", "too_many_boats", words)])


def _made(found: Progress) -> Document:
    fleet, quotes = Fleet(), store()
    for each in outcomes_of(found.id):
        stored = quotes.get(each.quote_id) if each.quote_id else None
        if stored is not None:
            head = {"line": each.name, "line_number": each.number, "id": stored.id, "number": stored.number, "revision": stored.revision}
            fleet.add(stored.said(), head)
    with_tables = _engine(found)
    return {
        "batch": found.id, "made": moment(), "currency": fleet.currency, "failed": found.failed, "boats": fleet.boats, "totals": fleet.totals(),
        "price_breaks": fleet.breaks(with_tables.planner.prices.at(with_tables.today())),
        "compared": fleet.compared(), "bill_of_materials": fleet.bill(), **_planned(fleet, with_tables),
    }  # fmt: skip


def _engine(found: Progress) -> Engine:
    """The tables that the batch was quoted with, or those of today where they are not kept."""
    try:
        return catalogues().of(batches().edition(found.id))
    except NotKept:
        return engine()


def _planned(fleet: Fleet, tables: Engine) -> Document:
    """One cutting plan of all boats, stored so that it can be taken, and what to buy for it."""
    stock, day = shelves().now(tables.catalogue.stock).rows, tables.today()
    many = sum(each["quantity"] for boat in fleet.pieces for each in boat["assemblies"] if each["cut_length"] is not None)
    order = PlanOrder(effort="whole_ladder" if many <= MOST_PIECES_PROVEN else "first_rung")
    try:
        plan = tables.planner.together(order, fleet.pieces, day, stock)
    except RequestError:  # a wire is no longer sold: nothing to plan with
        return {"cutting_plan": None, "buying_list": []}
    kept = plans().add(plan)
    spools = {each.id: each for each in tables.planner.spools(day)}
    shelf = frozenset(row.id for row in stock)
    head = {name: plan[name] for name in ("cost", "lower_bound", "gap", "gap_percent", "proven", "totals")}
    return {
        "cutting_plan": {"id": kept.id, "href": f"/v1/cutting-plans/{kept.id}", **head},
        "buying_list": list(buying_list(fleet.bill(), plan, shelf, spools)),
    }
