"""Batches of many boats: sent, followed, cancelled, and what came of each line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import IO
from uuid import UUID

from flask import Blueprint, Response, request

from service import batched_pdfs, parts
from service.batched import batch, begun, cancelled, results
from service.documents import batch_results
from service.fleets import summary
from service.jobs.following import event_id
from service.jobs.receiving import received, spooled_blocks
from service.once import once
from service.paging import page_after, page_asked
from service.parameters import takes, takes_its_own
from service.problems import Problem, parameter_fault
from service.replies import JSON, chosen, offers, reply, reply_json

batches = Blueprint("batches", __name__)
EVENTS = "text/event-stream"
FORMATS = {"ndjson": "application/x-ndjson", "csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
_BLOCK = 65_536


def _make() -> Response:
    """A batch, stored; the work on it begins at once."""
    made = received()
    return begun(made)


batches.post("/v1/batches", endpoint="make")(once(_make, spooled_blocks))


@batches.get("/v1/batches")
@takes_its_own
def listed() -> Response:
    """Batches, newest first, a page at a time."""
    limit, before = page_asked(request.args)
    shown, headers, following = page_after(parts.batches().page(limit + 1, before), limit, "/v1/batches")
    return reply_json({"batches": [each.document() for each in shown], "next": following}, headers=headers)


@batches.get("/v1/batches/<uuid:batch_id>")
def read(batch_id: UUID) -> Response:
    """Where a batch stands."""
    found = batch(str(batch_id))
    if found.overdue:
        parts.bell().ring()
    return reply_json(found.document())


@batches.delete("/v1/batches/<uuid:batch_id>")
def cancel(batch_id: UUID) -> Response:
    """Nothing more is quoted; what was quoted stays."""
    return reply_json(cancelled(str(batch_id)).document())


@batches.get("/v1/batches/<uuid:batch_id>/events")
@offers(EVENTS)
def events(batch_id: UUID) -> Response:
    """Progress as it is made."""
    found, seen = batch(str(batch_id)), request.headers.get("Last-Event-ID")
    if found.ended and seen == event_id(found):
        return Response(status=204)  # tells an EventSource not to come back
    places, kept = parts.followers(), parts.batches()
    if not places.admit():
        words = "Too many follow batches here at this moment: ask for the batch itself now and then, or follow it later."
        raise Problem(503, words, headers={"Retry-After": "10"})
    stream = places.stream(lambda: kept.progress(found.id), seen)
    return Response(stream, headers={"X-Accel-Buffering": "no"}, content_type=f"{EVENTS}; charset=utf-8")


@batches.get("/v1/batches/<uuid:batch_id>/results")
@offers(*FORMATS.values(), JSON)
@takes("format", "quotes")
def results_of(batch_id: UUID) -> Response:
    """What came of each line so far."""
    found, media = batch(str(batch_id)), chosen(FORMATS)
    quotes = request.args.get("quotes", "whole")
    if quotes not in ("whole", "heads"):
        raise Problem(
            422, "The results cannot be given as asked.", [parameter_fault("quotes", "not_accepted", "accepted here: whole, heads")]
        )
    name = {"Content-Disposition": f'attachment; filename="batch-{found.id}.{"xlsx" if media == FORMATS["xlsx"] else "csv"}"'}
    if media == FORMATS["ndjson"]:
        return Response(batch_results.ndjson(results(found.id, whole=quotes == "whole")), mimetype=media)
    if media == FORMATS["csv"]:
        return Response(
            batch_results.csv(results(found.id, whole=False)), headers=name, content_type=f"{media}; charset=utf-8; header=present"
        )
    file = batch_results.workbook(results(found.id, whole=False), date.fromisoformat(found.created[:10]))
    return Response(_sent(file), headers=name, mimetype=media)


@batches.get("/v1/batches/<uuid:batch_id>/quotations")
@offers(batched_pdfs.ZIP)
@takes("lang")
def quotations_of(batch_id: UUID) -> Response:
    """Every quotation as a PDF, in one archive."""
    return batched_pdfs.archive(str(batch_id))


@batches.get("/v1/batches/<uuid:batch_id>/summary")
def summary_of(batch_id: UUID) -> Response:
    """The batch as one fleet."""
    return reply(summary(str(batch_id)))


def _sent(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        while block := file.read(_BLOCK):
            yield block
