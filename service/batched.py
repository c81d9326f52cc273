"""Batches for the views: found or refused, cancelled, their results streamed."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, after_this_request, request

from service import json
from service.documents.batch_results import LineResult
from service.guard.entrance import caller
from service.guard.keys import Scope
from service.parts import batches, bell, engine, settings, store
from service.problems import Problem, fault
from service.replies import reply_json
from service.storage import Progress
from service.storage.batches import NotCancelled, Outcome


def batch(batch_id: str) -> Progress:
    """Where a batch stands. Raises Problem (404)."""
    found = batches().progress(batch_id)
    if found is None:
        raise Problem(404, "There is no batch with this id.")
    return found


def begun(made: Progress) -> Response:
    """202 with where to follow the batch; the bell rings once it is kept."""
    after_this_request(_rung)
    return reply_json(made.document(), 202, {"Location": f"/v1/batches/{made.id}"})


def _rung(response: Response) -> Response:
    bell().ring(settings().batch_workers or 1)
    return response


def later() -> bool:
    """Whether the one who asks would rather not wait (`Prefer: respond-async`, RFC 7240) and can look at a batch afterwards."""
    wishes = [wish.partition(";")[0].strip().lower() for wish in request.headers.get("Prefer", "").split(",")]
    who = caller()
    return "respond-async" in wishes and who is not None and Scope.READ in who.scopes


def cancelled(batch_id: str) -> Progress:
    """The batch once it is cancelled; again and again alike. Raises Problem: 404, 409 where it is done."""
    batch(batch_id)
    try:
        batches().cancel(batch_id)
    except NotCancelled:
        words = "The batch is done: there is nothing left to cancel. Withdraw the quotes that are not wanted."
        raise Problem(409, words, [fault("#", "done", words)]) from None
    return batch(batch_id)


def outcomes_of(batch_id: str) -> Iterator[Outcome]:
    """The outcome of every line that has one, in the order of the file."""
    return batches().outcomes(batch_id)


def results(batch_id: str, *, whole: bool) -> Iterator[LineResult]:
    """The outcome of every line that has one, in the order of the file; `whole`: with the whole quote of each, as it stands today."""
    kept, quotes, day = batches(), store(), engine().today()

    def read() -> Iterator[LineResult]:
        for each in kept.outcomes(batch_id):
            stored = quotes.get(each.quote_id) if whole and each.quote_id else None
            said = json.read(each.said or b"{}")
            yield LineResult(each.name, each.number, each.outcome or "", said, None if stored is None else stored.on(day).body())

    return read()
