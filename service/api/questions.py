"""Questions about a quote."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service.http.bodies import decoded, read_body
from service.http.idempotency import idempotent
from service.http.responses import reply
from service.quotes import questions as asking
from service.quotes.actions import quote
from service.schemas.life import ANSWERING, ASKING, read
from service.storage import Stored

questions = Blueprint("questions", __name__)


@questions.get("/v1/quotes/<uuid:quote_id>/questions")
def list_questions(quote_id: UUID) -> Response:
    """The questions about a quote, with the shop's answers."""
    return _reply(quote(str(quote_id)), 200)


@questions.post("/v1/quotes/<uuid:quote_id>/questions")
@idempotent
def ask(quote_id: UUID) -> Response:
    """Ask the shop something about the quote."""
    return _reply(asking.ask(str(quote_id), read(ASKING, decoded(read_body()))), 201)


@questions.post("/v1/quotes/<uuid:quote_id>/questions/<uuid:question_id>/answer")
@idempotent
def answer(quote_id: UUID, question_id: UUID) -> Response:
    """Answer a question."""
    return _reply(asking.answer(str(quote_id), str(question_id), read(ANSWERING, decoded(read_body()))), 200)


def _reply(stored: Stored, status: int) -> Response:
    at = {"Location": f"/v1/quotes/{stored.id}/questions"} if status == 201 else {}
    return reply(asking.questions(stored), status, {**at, "ETag": f'"{stored.etag}"', "Cache-Control": "private, no-cache"})
