"""A quote's lifecycle: revise, accept, decline, withdraw, correct, cancel, record as built, hand over; and its history."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from flask import Blueprint, Response

from service.formats.views import reply_quote, requested_view
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
    """Register a view as `POST /v1/quotes/{id}/NAME`: idempotent by key, and answered with the quote in the view that the client requests."""

    def register(view: View) -> View:
        registered: View = life.post(f"/v1/quotes/<uuid:quote_id>/{name}")(compressed(query_parameters("view")(idempotent(view))))
        return registered

    return register


@step("revisions")
def revise(quote_id: UUID) -> Response:
    """Issue the next revision, which replaces this quote."""
    return _revision(lambda: actions.revise(str(quote_id), read_body()))


@life.get("/v1/quotes/<uuid:quote_id>/difference")
def difference(quote_id: UUID) -> Response:
    """What this revision changed from the issue before."""
    return reply_json(actions.difference(str(quote_id)))


@step("acceptance")
def accept(quote_id: UUID) -> Response:
    """The customer accepts the quote they have seen."""
    require_match()
    acceptance = read(ACCEPTANCE, decoded(read_body()))
    return _quote(lambda: actions.accept(str(quote_id), acceptance))


@step("decline")
def decline(quote_id: UUID) -> Response:
    """The customer declines the quote."""
    declining = read(DECLINING, decoded(read_body()))
    return _quote(lambda: actions.decline(str(quote_id), declining))


@step("withdrawal")
def withdraw(quote_id: UUID) -> Response:
    """The shop withdraws the quote."""
    ending = read(ENDING, decoded(read_body()))
    return _quote(lambda: actions.end(str(quote_id), Step.WITHDRAW, ending))


@step("corrections")
def correct(quote_id: UUID) -> Response:
    """The shop corrects an accepted quote within its price; the revision stays accepted."""
    return _revision(lambda: actions.correct(str(quote_id), read_body()))


@step("cancellation")
def cancel(quote_id: UUID) -> Response:
    """The shop cancels a quote that was accepted."""
    cancelling = read(CANCELLING, decoded(read_body()))
    return _quote(lambda: actions.cancel(str(quote_id), cancelling))


@step("handover")
def hand_over(quote_id: UUID) -> Response:
    """Record that the finished assemblies were handed over."""
    handover = read(HANDOVER, decoded(read_body()))
    return _quote(lambda: actions.hand_over(str(quote_id), handover))


@life.post("/v1/quotes/<uuid:quote_id>/as-built")
@idempotent
def record_built(quote_id: UUID) -> Response:
    """Check the finished assemblies and record them."""
    record = actions.record_built(str(quote_id), read(BUILT, decoded(read_body())))
    return reply(record, 201, {"Location": f"/v1/quotes/{quote_id}/as-built"})


@life.get("/v1/quotes/<uuid:quote_id>/as-built")
def built(quote_id: UUID) -> Response:
    """All records of finished assemblies."""
    return reply(actions.built(str(quote_id)))


@life.get("/v1/quotes/<uuid:quote_id>/events")
def history(quote_id: UUID) -> Response:
    """The events in a quote's history."""
    return reply_json(actions.history(str(quote_id)))


def _revision(make: Callable[[], Stored]) -> Response:
    """201 with the revision that a step makes."""
    view = requested_view()
    revision = make()
    return reply_quote(view, revision.body(), 201, revision.etag, {"Location": f"/v1/quotes/{revision.id}"})


def _quote(take: Callable[[], Stored]) -> Response:
    """200 with the quote after a step. The requested view is checked before the step is taken."""
    view = requested_view()
    stored = take()
    return reply_quote(view, stored.body(), 200, stored.etag, {"Cache-Control": "private, no-cache"})
