"""Settling what a quote asks."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service.http.bodies import decoded, read_body
from service.http.idempotency import idempotent
from service.http.responses import reply
from service.quotes import settling as answers
from service.quotes.actions import quote
from service.schemas.life import SETTLEMENTS, UNDOING, read
from service.storage import Stored

settling = Blueprint("settling", __name__)


@settling.get("/v1/quotes/<uuid:quote_id>/settlements")
def settlements(quote_id: UUID) -> Response:
    """A quote's settlements and its open findings."""
    return _reply(quote(str(quote_id)), 200)


@settling.post("/v1/quotes/<uuid:quote_id>/settlements")
@idempotent
def settle(quote_id: UUID) -> Response:
    """Answer what findings ask; what was measured in place of a doubt makes a revision."""
    return _reply(answers.settle(str(quote_id), read(SETTLEMENTS, _several(decoded(read_body())))), 201)


@settling.post("/v1/quotes/<uuid:quote_id>/settlements/<uuid:settlement_id>/reversal")
@idempotent
def undo(quote_id: UUID, settlement_id: UUID) -> Response:
    """Undo a settlement."""
    return _reply(answers.undo(str(quote_id), str(settlement_id), read(UNDOING, decoded(read_body()))), 200)


def _several(body: object) -> object:
    """One answer alone is a list of one."""
    return {"settlements": [body]} if isinstance(body, dict) and "settlements" not in body else body


def _reply(stored: Stored, status: int) -> Response:
    at = {"Location": f"/v1/quotes/{stored.id}/settlements"} if status == 201 else {}
    return reply(answers.settlements(stored), status, {**at, "ETag": f'"{stored.etag}"', "Cache-Control": "private, no-cache"})
