"""The shelf: current stock, movements, and cutting plans carried out."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response, request

from service.http.bodies import decoded, read_body
from service.http.current import engine, shelves
from service.http.idempotency import idempotent
from service.http.parameters import query_parameters
from service.http.problems import Problem, parameter_fault
from service.http.responses import reply_json
from service.quotes import stock as shelf
from service.quotes.stock_count import counted
from service.schemas.life import MOVEMENT, read
from service.schemas.stock import read_count

stock = Blueprint("stock", __name__)
NEWEST = 100


@stock.get("/v1/stock")
def listed() -> Response:
    """The current stock on the shelf."""
    return reply_json(shelf.listed())


@stock.get("/v1/stock/movements")
@query_parameters("plan")
def movements() -> Response:
    """The most recent movements, or those of one plan."""
    return reply_json({"movements": shelves().movements(NEWEST, _plan_parameter())})


@stock.post("/v1/stock/counts")
@idempotent
def count() -> Response:
    """Record a stock count."""
    digits = engine().planner.digits(engine().today())
    return reply_json(counted(read_count(decoded(read_body()), digits)))


@stock.post("/v1/cutting-plans/<uuid:plan_id>/take")
@idempotent
def take(plan_id: UUID) -> Response:
    """Record that a plan was carried out."""
    return reply_json(shelf.take_plan(str(plan_id), read(MOVEMENT, decoded(read_body()))))


@stock.post("/v1/cutting-plans/<uuid:plan_id>/reversal")
@idempotent
def reverse(plan_id: UUID) -> Response:
    """Put back what a plan took that was not carried out after all."""
    return reply_json(shelf.reversed_(str(plan_id), read(MOVEMENT, decoded(read_body()))))


def _plan_parameter() -> str | None:
    """The id of the plan whose movements are requested. Raises Problem (422)."""
    plan_id = request.args.get("plan")
    try:
        return None if plan_id is None else str(UUID(plan_id))
    except ValueError:
        words = "send the id of a cutting plan, or leave the parameter out"
        raise Problem(422, "This is not the id of a cutting plan.", [parameter_fault("plan", "not_an_id", words)]) from None
