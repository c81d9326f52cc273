"""Batches for the views: look-up, cancellation, streaming of results."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, after_this_request

from service.credentials.keys import Scope
from service.documents.batch_results import LineResult
from service.encoding import json
from service.http.caller import caller
from service.http.current import batches, bell, engine, settings, store
from service.http.prefer import preferences
from service.http.problems import Problem, fault, unknown
from service.http.responses import reply_json
from service.storage import Progress
from service.storage.batches import NotCancelled, Outcome


def batch(batch_id: str) -> Progress:
    """The state of a batch. Raises Problem (404)."""
    found = batches().progress(batch_id)
    if found is None:
        raise unknown("id", "unknown_batch", "There is no batch with this id: `GET /v1/batches` lists all batches.")
    return found


def batch_accepted(made: Progress) -> Response:
    """202 with the batch's URL in `Location`; the bell rings once the batch is committed."""
    after_this_request(_ring_bell)
    return reply_json(made.document(), 202, {"Location": f"/v1/batches/{made.id}"})


def _ring_bell(response: Response) -> Response:
    bell().ring(settings().batch_workers or 1)
    return response


def prefers_async() -> bool:
    """Whether the client prefers not to wait (`Prefer: respond-async`, RFC 7240) and has the scope to read the batch afterwards."""
    who = caller()
    return "respond-async" in preferences() and who is not None and Scope.READ in who.scopes


def cancelled(batch_id: str) -> Progress:
    """Cancel a batch and return it; idempotent. Raises Problem: 404, 409 if it is completed."""
    batch(batch_id)
    try:
        batches().cancel(batch_id)
    except NotCancelled:
        words = "The batch is completed and cannot be cancelled: withdraw the quotes that are not wanted."
        raise Problem(409, words, [fault("#", "completed", words)]) from None
    return batch(batch_id)


def outcomes_of(batch_id: str) -> Iterator[Outcome]:
    """The outcome of every line that has one, in file order."""
    return batches().outcomes(batch_id)


def results(batch_id: str, *, whole: bool) -> Iterator[LineResult]:
    """The outcome of every line that has one, in file order; `whole`: with each complete quote, in its state today."""
    kept, quotes, day = batches(), store(), engine().today()

    def read() -> Iterator[LineResult]:
        for each in kept.outcomes(batch_id):
            stored = quotes.get(each.quote_id) if whole and each.quote_id else None
            result = json.read(each.said or b"{}")
            yield LineResult(each.name, each.number, each.outcome or "", result, None if stored is None else stored.on(day).body())

    return read()
