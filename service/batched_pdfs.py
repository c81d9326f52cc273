"""The quotations of a batch as PDFs in one archive: made in a run where they are not kept yet, then streamed from where they are kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from concurrent.futures import TimeoutError as NotYet
from functools import partial
from typing import NamedTuple

from flask import Response, request

from service.batched import batch, outcomes_of
from service.documents.archive import zipped
from service.documents.pdf import NoPdf
from service.documents.quotation_html import page
from service.made_by import made_by
from service.parts import engine, press, renditions, runs, settings, store
from service.pdf.press import Busy, NotMade
from service.pdf_forms import RETRY_SECONDS
from service.prefer import patience
from service.problems import Problem, fault
from service.quote_forms import asked_language, file_name, state_of_quotation, whole
from service.replies import reply_json
from service.storage import Progress, Stored
from service.storage.batches import MOST_ARCHIVED as MOST

ZIP = "application/zip"


class Paper(NamedTuple):
    """One quotation: its quote, and the name and the state that its PDF is kept under."""

    stored: Stored
    document: str
    made_of: str


def archive(batch_id: str) -> Response:
    """All of them; 202 where they are not made in time. Raises Problem: 404, 409 while the batch is not done, 422 for too many, 503."""
    found, language, waits = batch(batch_id), asked_language(), patience()
    _judge(found)
    papers = _papers(found, language)
    try:
        if any(not renditions().has(each.stored.id, each.document, each.made_of) for each in papers()):
            runs().begin(f"{found.id} {language}", _orders(papers, language)).result(waits.seconds)
        response = _sent(found, papers, language)
    except NotYet:
        where = request.full_path.rstrip("?")
        response = reply_json({"status": "being_made", "href": where}, 202, {"Location": where, "Retry-After": str(RETRY_SECONDS)})
    except Busy:
        raise Problem(503, "Too many PDFs are waiting to be made. Try again later.", headers={"Retry-After": str(RETRY_SECONDS)}) from None
    except (NoPdf, NotMade) as error:
        raise Problem(503, str(error)) from None
    if waits.applied:
        response.headers["Preference-Applied"] = waits.applied
    response.vary.update(("Prefer", "Accept-Language"))
    return response


def _judge(found: Progress) -> None:
    if not found.ended or not found.done:
        words = "The batch is not done: ask again once it is." if not found.ended else "No line of the batch was quoted: there is nothing."
        raise Problem(409, words, [fault("#", "nothing_quoted", words)])
    if found.done > MOST:
        words = f"an archive holds at most {MOST} quotations, and this batch has {found.done}: ask for each by itself"
        raise Problem(422, "The batch is too large for an archive.", [fault("#", "too_many_boats", words)])


def _papers(found: Progress, language: str) -> Callable[[], Iterator[Paper]]:
    """Reads them one by one, again for each call, as their quotes stand then."""
    quotes, day, state = store(), engine().today(), state_of_quotation(language)
    ids = [each.quote_id for each in outcomes_of(found.id) if each.quote_id]

    def read() -> Iterator[Paper]:
        for quote_id in ids:
            stored = quotes.get(quote_id)
            if stored is not None:
                stored = stored.on(day)
                yield Paper(stored, f"quotation-{language}", f"{state(stored)}-{made_by()}")

    return read


def _orders(papers: Callable[[], Iterator[Paper]], language: str) -> Callable[[], Iterator[Callable[[], Future[bytes]]]]:
    """An order to the press for each that is not kept, told without the request."""
    kept, at, country, base = renditions(), press(), settings().holidays, settings().base_url

    def order(paper: Paper) -> Future[bytes]:
        stored, document, made_of = paper
        return at.order(
            f"{stored.id} {document} {made_of}",
            lambda: page(whole(stored), language, country, base, for_paper=True),
            lambda pdf: kept.keep(stored.id, document, made_of, stored.checksum, pdf),
        )

    def read() -> Iterator[Callable[[], Future[bytes]]]:
        return (partial(order, each) for each in papers() if not kept.has(each.stored.id, each.document, each.made_of))

    return read


def _sent(found: Progress, papers: Callable[[], Iterator[Paper]], language: str) -> Response:
    kept = renditions()

    def files() -> Iterator[tuple[str, bytes]]:
        for each in papers():
            content = kept.get(each.stored.id, each.document, each.made_of)
            if content is None:
                raise LookupError("a quotation changed while it was sent: what was sent is not whole")
            yield f"{file_name(each.stored)}-{language}.pdf", content

    name = f'attachment; filename="batch-{found.id}-quotations-{language}.zip"'
    return Response(zipped(files()), headers={"Content-Disposition": name, "Content-Language": language}, mimetype=ZIP)
