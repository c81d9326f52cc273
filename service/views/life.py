"""What becomes of a quote: revised, accepted, declined, withdrawn, built; and its history."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service import steps
from service.bodies import decoded, read_body
from service.life.statuses import Step
from service.once import once
from service.preconditions import require_match
from service.replies import reply, reply_json, reply_tagged
from service.schemas.life import ACCEPTANCE, BUILT, ENDING, read
from service.storage import Stored

life = Blueprint("life", __name__)


@life.post("/v1/quotes/<uuid:quote_id>/revisions")
@once
def revise(quote_id: UUID) -> Response:
    """The next revision, in place of this one."""
    made = steps.revise(str(quote_id), read_body())
    return reply(made.body(), 201, {"Location": f"/v1/quotes/{made.id}", "ETag": f'"{made.etag}"'})


@life.get("/v1/quotes/<uuid:quote_id>/difference")
def difference(quote_id: UUID) -> Response:
    """What changed from the issue before."""
    return reply_json(steps.difference(str(quote_id)))


@life.post("/v1/quotes/<uuid:quote_id>/acceptance")
@once
def accept(quote_id: UUID) -> Response:
    """The customer accepts what was seen."""
    require_match()
    said = read(ACCEPTANCE, decoded(read_body()))
    return _quote(steps.accept(str(quote_id), said))


@life.post("/v1/quotes/<uuid:quote_id>/decline")
@once
def decline(quote_id: UUID) -> Response:
    """The customer declines."""
    return _quote(steps.end(str(quote_id), Step.DECLINE, read(ENDING, decoded(read_body()))))


@life.post("/v1/quotes/<uuid:quote_id>/withdrawal")
@once
def withdraw(quote_id: UUID) -> Response:
    """The shop withdraws."""
    return _quote(steps.end(str(quote_id), Step.WITHDRAW, read(ENDING, decoded(read_body()))))


@life.post("/v1/quotes/<uuid:quote_id>/as-built")
@once
def record_built(quote_id: UUID) -> Response:
    """Finished assemblies, judged and kept."""
    said = steps.record_built(str(quote_id), read(BUILT, decoded(read_body())))
    return reply(said, 201, {"Location": f"/v1/quotes/{quote_id}/as-built"})


@life.get("/v1/quotes/<uuid:quote_id>/as-built")
def built(quote_id: UUID) -> Response:
    """Every record of finished assemblies."""
    return reply(steps.built(str(quote_id)))


@life.get("/v1/quotes/<uuid:quote_id>/events")
def history(quote_id: UUID) -> Response:
    """Everything that happened to a quote."""
    return reply_json(steps.history(str(quote_id)))


def _quote(stored: Stored) -> Response:
    return reply_tagged(stored.body(), stored.etag)
