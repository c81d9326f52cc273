"""A shop's own tables: sent to be looked at, compared, tried on boats, and put in force from a day on."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.http.bodies import decoded, read_body
from service.http.idempotency import idempotent
from service.http.parameters import query_parameters
from service.http.responses import reply_json
from service.quotes import tables as use
from service.schemas.life import read
from service.schemas.tables import PUT_ORDER, TABLES_SENT, TRIAL

tables = Blueprint("tables", __name__)


@tables.get("/v1/tables")
def listed() -> Response:
    """The stored editions, and from which day each is in force."""
    return reply_json(use.listed())


@tables.post("/v1/tables")
@idempotent
def send() -> Response:
    """Check tables, and store them as a draft."""
    made, new = use.sent(read(TABLES_SENT, decoded(read_body())))
    return reply_json(made, 201 if new else 200)


@tables.get("/v1/tables/<edition>/files")
def stored(edition: str) -> Response:
    """An edition with its files, as they were sent."""
    return reply_json(use.stored(edition))


@tables.get("/v1/tables/<edition>/doubts")
def doubts(edition: str) -> Response:
    """What is doubted of an edition."""
    return reply_json(use.doubted(edition))


@tables.get("/v1/tables/<edition>/difference")
@query_parameters("against")
def difference(edition: str) -> Response:
    """What differs from another edition."""
    return reply_json(use.difference(edition, request.args.get("against")))


@tables.post("/v1/tables/<edition>/effect")
def effect(edition: str) -> Response:
    """What an edition does to boats and open quotes."""
    return reply_json(use.effect(edition, read(TRIAL, decoded(read_body()))))


@tables.post("/v1/tables/<edition>/in-force")
@idempotent
def put(edition: str) -> Response:
    """Put an edition in force from a day on."""
    return reply_json(use.put(edition, read(PUT_ORDER, decoded(read_body()))))
