"""The shelf: what is there, what moved, and plans that are carried out."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service import stock as shelf
from service.bodies import decoded, read_body
from service.once import once
from service.parts import shelves
from service.replies import reply_json
from service.schemas.life import TAKING, read

stock = Blueprint("stock", __name__)
NEWEST = 100


@stock.get("/v1/stock")
def listed() -> Response:
    """What is on the shelf."""
    return reply_json(shelf.listed())


@stock.get("/v1/stock/movements")
def movements() -> Response:
    """The newest movements."""
    return reply_json({"movements": shelves().movements(NEWEST)})


@stock.post("/v1/cutting-plans/<uuid:plan_id>/take")
@once
def take(plan_id: UUID) -> Response:
    """A plan is carried out."""
    return reply_json(shelf.taken(str(plan_id), read(TAKING, decoded(read_body()))))


@stock.post("/v1/cutting-plans/<uuid:plan_id>/undo")
@once
def undo(plan_id: UUID) -> Response:
    """A plan was not carried out after all."""
    return reply_json(shelf.undone(str(plan_id), read(TAKING, decoded(read_body()))))
