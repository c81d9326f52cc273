"""The shelf: current stock, movements, and cutting plans carried out."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service.http.bodies import decoded, read_body
from service.http.current import shelves
from service.http.idempotency import idempotent
from service.http.responses import reply_json
from service.quotes import stock as shelf
from service.schemas.life import MOVEMENT, read

stock = Blueprint("stock", __name__)
NEWEST = 100


@stock.get("/v1/stock")
def listed() -> Response:
    """The current stock on the shelf."""
    return reply_json(shelf.listed())


@stock.get("/v1/stock/movements")
def movements() -> Response:
    """The most recent movements."""
    return reply_json({"movements": shelves().movements(NEWEST)})


@stock.post("/v1/cutting-plans/<uuid:plan_id>/take")
@idempotent
def take(plan_id: UUID) -> Response:
    """Record that a plan was carried out."""
    return reply_json(shelf.taken(str(plan_id), read(MOVEMENT, decoded(read_body()))))


@stock.post("/v1/cutting-plans/<uuid:plan_id>/reversal")
@idempotent
def reverse(plan_id: UUID) -> Response:
    """Put back what a plan took that was not carried out after all."""
    return reply_json(shelf.reversed_(str(plan_id), read(MOVEMENT, decoded(read_body()))))
