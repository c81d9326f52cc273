"""A batch's quotations as PDFs in one archive. Each PDF is made when it is about to be sent, so none is stored."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, stream_with_context

from service.batches.lookup import batch, outcomes_of
from service.computing.asking import made_of
from service.documents.archive import zipped
from service.documents.quotation.paper import paper
from service.formats.quote import file_name, printed, quotation_language
from service.http.current import archives, engine, settings, store
from service.http.problems import Problem, fault
from service.quotes.links import reading_link
from service.storage import Progress
from service.storage.batches import MOST_ARCHIVED as MOST

ZIP = "application/zip"
RETRY_SECONDS = 10


def archive(batch_id: str) -> Response:
    """The archive of all quotations. Raises Problem: 404; 409 until the batch has ended; 422 for too many quotations; 503 while too many other
    archives are being sent.
    """
    found, language = batch(batch_id), quotation_language()
    _judge(found)
    if not archives().acquire(blocking=False):
        words = "Other archives of quotations are being sent. Try again later."
        raise Problem(503, words, [fault("#", "busy", words)], {"Retry-After": str(RETRY_SECONDS)})
    name = f'attachment; filename="batch-{found.id}-quotations-{language}.zip"'
    files = stream_with_context(zipped(_papers(found, language)))
    response = Response(files, headers={"Content-Disposition": name, "Content-Language": language}, mimetype=ZIP)
    response.call_on_close(archives().release)
    response.vary.add("Accept-Language")
    return response


def _judge(found: Progress) -> None:
    if not found.ended:
        words = "The batch is not completed yet: ask again later."
        raise Problem(409, words, [fault("#", "not_completed", words)])
    if not found.succeeded:
        words = "No line of the batch was quoted, so there is no quotation. GET its results for the reasons."
        raise Problem(409, words, [fault("#", "nothing_quoted", words)])
    if found.succeeded > MOST:
        words = f"an archive holds at most {MOST} quotations, and this batch has {found.succeeded}: download them one by one"
        raise Problem(422, "The batch is too large for an archive.", [fault("#", "too_many_boats", words)])


def _papers(found: Progress, language: str) -> Iterator[tuple[str, bytes]]:
    """File names and PDFs of all quotes, each in its current state when it is read."""
    day, country, base = engine().today(), settings().holidays, settings().base_url
    for each in outcomes_of(found.id):
        stored = store().get(each.quote_id) if each.quote_id else None
        if stored is not None:
            stored = stored.on(day)
            online = reading_link(stored)
            yield f"{file_name(stored)}-{language}.pdf", made_of(stored, paper, printed(stored, online), language, country, base, online)
