"""A quote's lifecycle: revise, accept, decline, withdraw, correct, cancel, record as built, hand over; and its history."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from flask import Blueprint, Response

from service.formats.views import asked_view, reply_quote
from service.http.bodies import decoded, read_body
from service.http.compression import compressed
from service.http.idempotency import idempotent
from service.http.parameters import query_parameters
from service.http.preconditions import require_match
from service.http.responses import reply, reply_json
from service.lifecycle.statuses import Step
from service.quotes import actions
from service.schemas.life import ACCEPTANCE, BUILT, CANCELLING, DECLINING, ENDING, HANDOVER, read
from service.storage import Stored

life = Blueprint("life", __name__)
View = Callable[[UUID], Response]


def step(name: str) -> Callable[[View], View]:
    """A step of a quote at `POST /v1/quotes/{id}/NAME`: repeatable by its key, answered with the quote in the view asked for."""

    def mark(view: View) -> View:
        made: View = life.post(f"/v1/quotes/<uuid:quote_id>/{name}")(compressed(query_parameters("view")(idempotent(view))))
        return made

    return mark


@step("revisions")
def revise(quote_id: UUID) -> Response:
    """Issue the next revision, which replaces this quote."""
    return _revision(lambda: actions.revise(str(quote_id), read_body()))


@life.get("/v1/quotes/<uuid:quote_id>/difference")
def difference(quote_id: UUID) -> Response:
    """What changed since the previous issue."""
    return reply_json(actions.difference(str(quote_id)))


@step("acceptance")
def accept(quote_id: UUID) -> Response:
    """The customer accepts the quote they have seen."""
    require_match()
    said = read(ACCEPTANCE, decoded(read_body()))
    return _quote(lambda: actions.accept(str(quote_id), said))


@step("decline")
def decline(quote_id: UUID) -> Response:
    """The customer declines the quote."""
    said = read(DECLINING, decoded(read_body()))
    return _quote(lambda: actions.decline(str(quote_id), said))


@step("withdrawal")
def withdraw(quote_id: UUID) -> Response:
    """The shop withdraws the quote."""
    said = read(ENDING, decoded(read_body()))
    return _quote(lambda: actions.end(str(quote_id), Step.WITHDRAW, said))


@step("corrections")
def correct(quote_id: UUID) -> Response:
    """The shop corrects an accepted quote within its price: the revision stays accepted."""
    return _revision(lambda: actions.correct(str(quote_id), read_body()))


@step("cancellation")
def cancel(quote_id: UUID) -> Response:
    """The shop cancels a quote that was accepted."""
    said = read(CANCELLING, decoded(read_body()))
    return _quote(lambda: actions.cancel(str(quote_id), said))


@step("handover")
def hand_over(quote_id: UUID) -> Response:
    """What was built is handed over."""
    said = read(HANDOVER, decoded(read_body()))
    return _quote(lambda: actions.hand_over(str(quote_id), said))


@life.post("/v1/quotes/<uuid:quote_id>/as-built")
@idempotent
def record_built(quote_id: UUID) -> Response:
    """Check the finished assemblies and record them."""
    said = actions.record_built(str(quote_id), read(BUILT, decoded(read_body())))
    return reply(said, 201, {"Location": f"/v1/quotes/{quote_id}/as-built"})


@life.get("/v1/quotes/<uuid:quote_id>/as-built")
def built(quote_id: UUID) -> Response:
    """Every record of finished assemblies."""
    return reply(actions.built(str(quote_id)))


@life.get("/v1/quotes/<uuid:quote_id>/events")
def history(quote_id: UUID) -> Response:
    """Everything that happened to a quote."""
    return reply_json(actions.history(str(quote_id)))


def _revision(make: Callable[[], Stored]) -> Response:
    """The revision that a step makes."""
    view = asked_view()
    made = make()
    return reply_quote(view, made.body(), 201, made.etag, {"Location": f"/v1/quotes/{made.id}"})


def _quote(take: Callable[[], Stored]) -> Response:
    """The quote after a step. What cannot be answered is refused before the step is taken."""
    view = asked_view()
    stored = take()
    return reply_quote(view, stored.body(), 200, stored.etag, {"Cache-Control": "private, no-cache"})
