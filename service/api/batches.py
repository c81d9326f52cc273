"""Batches of many boats: create, follow, cancel, and read the result of each line."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import IO
from uuid import UUID

from flask import Blueprint, Response, request

from service.batches import pdfs
from service.batches.fleets import summary
from service.batches.lookup import batch, batch_accepted, cancelled, results
from service.batches.progress import event_id
from service.batches.receiving import received, spooled_blocks
from service.documents import batch_results
from service.http import current
from service.http.idempotency import idempotent
from service.http.pagination import page_after, requested_page
from service.http.parameters import query_parameters, validates_query_itself
from service.http.problems import Problem, parameter_fault
from service.http.responses import JSON, chosen, produces, reply, reply_json

batches = Blueprint("batches", __name__)
EVENTS = "text/event-stream"
FORMATS = {"ndjson": "application/x-ndjson", "csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
_BLOCK = 65_536


def _make() -> Response:
    """Store a batch; processing starts at once."""
    made = received()
    return batch_accepted(made)


batches.post("/v1/batches", endpoint="make")(idempotent(_make, spooled_blocks))


@batches.get("/v1/batches")
@validates_query_itself
def listed() -> Response:
    """List batches, newest first, one page at a time."""
    limit, before = requested_page(request.args)
    shown, headers, following = page_after(current.batches().page(limit + 1, before), limit, "/v1/batches")
    return reply_json({"batches": [each.document() for each in shown], "next": following}, headers=headers)


@batches.get("/v1/batches/<uuid:batch_id>")
def read(batch_id: UUID) -> Response:
    """The current state of a batch."""
    found = batch(str(batch_id))
    if found.overdue:
        current.bell().ring()
    return reply_json(found.document())


@batches.delete("/v1/batches/<uuid:batch_id>")
def cancel(batch_id: UUID) -> Response:
    """Cancel a batch: nothing more is quoted, and the quotes already made remain."""
    return reply_json(cancelled(str(batch_id)).document())


@batches.get("/v1/batches/<uuid:batch_id>/events")
@produces(EVENTS)
def events(batch_id: UUID) -> Response:
    """Stream progress as server-sent events."""
    found, seen = batch(str(batch_id)), request.headers.get("Last-Event-ID")
    if found.ended and seen == event_id(found):
        return Response(status=204)  # tells an EventSource not to reconnect
    places, kept = current.followers(), current.batches()
    if not places.admit():
        words = "Too many clients are following batches on this server: poll the batch instead, or follow it later."
        raise Problem(503, words, headers={"Retry-After": "10"})
    leave = places.leaving()
    stream = places.stream(lambda: kept.progress(found.id), seen, leave)
    response = Response(stream, headers={"X-Accel-Buffering": "no"}, content_type=f"{EVENTS}; charset=utf-8")
    response.call_on_close(leave)  # a HEAD never iterates the stream, so the stream itself would never release the place
    return response


@batches.get("/v1/batches/<uuid:batch_id>/results")
@produces(*FORMATS.values(), JSON)
@query_parameters("format", "quotes")
def results_of(batch_id: UUID) -> Response:
    """The result of each line so far."""
    found, media = batch(str(batch_id)), chosen(FORMATS)
    quotes = request.args.get("quotes", "whole")
    if quotes not in ("whole", "heads"):
        raise Problem(
            422, "The results cannot be returned as requested.", [parameter_fault("quotes", "not_accepted", "accepted here: whole, heads")]
        )
    name = {"Content-Disposition": f'attachment; filename="batch-{found.id}.{"xlsx" if media == FORMATS["xlsx"] else "csv"}"'}
    if media == FORMATS["ndjson"]:
        return Response(batch_results.ndjson(results(found.id, whole=quotes == "whole")), mimetype=media)
    if media == FORMATS["csv"]:
        return Response(
            batch_results.csv(results(found.id, whole=False)), headers=name, content_type=f"{media}; charset=utf-8; header=present"
        )
    file = batch_results.workbook(results(found.id, whole=False), date.fromisoformat(found.created_at[:10]))
    return Response(_sent(file), headers=name, mimetype=media)


@batches.get("/v1/batches/<uuid:batch_id>/quotations")
@produces(pdfs.ZIP)
@query_parameters("lang")
def quotations_of(batch_id: UUID) -> Response:
    """All quotations as PDFs in one archive."""
    return pdfs.archive(str(batch_id))


@batches.get("/v1/batches/<uuid:batch_id>/summary")
def summary_of(batch_id: UUID) -> Response:
    """Summarise the batch as one fleet."""
    return reply(summary(str(batch_id)))


def _sent(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        while block := file.read(_BLOCK):
            yield block
