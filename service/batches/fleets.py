"""A batch summarised as one fleet: computed from its quotes once it is completed, stored, and returned again."""

from __future__ import annotations

from pricing.errors import RequestError
from pricing.records.fleet import Fleet, buying_list
from pricing.stock.plan_order import PlanOrder
from service.batches.lookup import batch, outcomes_of
from service.computing.asking import plan_together
from service.encoding import json
from service.engine.catalogues import NotKept
from service.engine.engine import Document, Engine
from service.http.current import batches, catalogues, engine, plans, shelves, store
from service.http.problems import Problem, fault
from service.storage import Progress
from service.storage.batches import COMPLETED
from service.storage.records import moment

MOST_BOATS = 1000
MOST_PIECES_PROVEN = 60  # above this, only the planner's first rung is used, which always answers at once


class _MadeMeanwhile(Exception):
    """Another request has stored the summary; this one's plan is rolled back."""


def summary(batch_id: str) -> bytes:
    """The fleet summary as JSON. Raises Problem: 404, 409 if the batch is not done or produced no quote, 422 for too many boats."""
    progress = batch(batch_id)
    kept = batches().summary(progress.id)
    if kept is not None:
        return kept
    _judge(progress)
    try:
        with store().together():  # the plan in the summary is stored with it, or not at all
            summary = json.write(_summary(progress))
            _keep(progress.id, summary)
    except _MadeMeanwhile:
        return batches().summary(progress.id) or summary
    return summary


def _keep(batch_id: str, summary: bytes) -> None:
    if not batches().keep_summary(batch_id, summary):
        raise _MadeMeanwhile


def _judge(progress: Progress) -> None:
    if progress.status != COMPLETED or not progress.succeeded:
        words = (
            "Only a completed batch has a summary: ask again later. A cancelled batch has none."
            if progress.status != COMPLETED
            else "No line of the batch was quoted, so there is no summary. GET its results for the reasons."
        )
        raise Problem(409, words, [fault("#", "no_fleet", words)])
    if progress.succeeded > MOST_BOATS:
        words = f"a summary covers at most {MOST_BOATS} boats, and this batch has {progress.succeeded}: send the fleet in several batches"
        raise Problem(422, "The batch is too large for a summary.", [fault("#", "too_many_boats", words)])


def _summary(progress: Progress) -> Document:
    fleet, quotes = Fleet(), store()
    for each in outcomes_of(progress.id):
        stored = quotes.get(each.quote_id) if each.quote_id else None
        if stored is not None:
            head = {
                "custom_id": each.name,
                "line_number": each.number,
                "id": stored.id,
                "number": stored.number,
                "revision": stored.revision,
            }
            fleet.add(stored.quote(), head)
    with_tables = _engine(progress)
    return {
        "batch_id": progress.id, "created_at": moment(), "currency": fleet.currency, "failed": progress.failed, "boats": fleet.boats, "totals": fleet.totals(),
        "price_breaks": fleet.breaks(with_tables.planner.prices.at(with_tables.today())),
        "compared": fleet.compared(), "differing": fleet.differing(), "bill_of_materials": fleet.bill(), **_planned(fleet, with_tables),
    }  # fmt: skip


def _engine(progress: Progress) -> Engine:
    """The tables the batch was quoted with, or today's if those are not stored."""
    try:
        return catalogues().of(batches().edition(progress.id))
    except NotKept:
        return engine()


def _planned(fleet: Fleet, tables: Engine) -> Document:
    """One cutting plan for all boats, stored so that it can be carried out, and the wire to buy for it."""
    stock, day = shelves().now(tables.catalogue.stock).rows, tables.today()
    many = sum(each.quantity for quote in fleet.to_plan for each in quote.pieces)
    order = PlanOrder(effort="thorough" if many <= MOST_PIECES_PROVEN else "fast")
    try:
        plan = plan_together(tables, order, fleet.to_plan, stock)
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
