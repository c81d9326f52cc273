"""A document as PDF: from the database where it was made already, else made beside the request, which waits for it as long as it is asked to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import TimeoutError as NotYet
from http import HTTPStatus

from flask import Response, request

from service.documents.pdf import NoPdf
from service.forms import PDF, reply_form
from service.made_by import made_by
from service.parts import press, renditions
from service.pdf.press import Busy, NotMade
from service.prefer import Patience, patience
from service.problems import Problem
from service.replies import reply_json
from service.storage import Stored

RETRY_SECONDS = 2


def reply_pdf(stored: Stored, document: str, state: str, page: Callable[[], bytes], name: str, headers: Mapping[str, str]) -> Response:
    """The PDF of `page`, a document of the quote `stored` in the state `state`; 202 where it is not made in time. Raises Problem (503)."""
    waits = patience()
    made_of = f"{state}-{made_by()}"
    kept = renditions()

    def made() -> bytes:
        found = kept.get(stored.id, document, made_of)
        if found is None:
            order = press().order(
                f"{stored.id} {document} {made_of}", page, lambda pdf: kept.keep(stored.id, document, made_of, stored.checksum, pdf)
            )
            found = order.result(waits.seconds)
        return found

    try:
        response = reply_form(PDF, made, state, name, headers)
    except NotYet:
        response = _later(waits)
    except Busy:
        raise Problem(503, "Too many PDFs are waiting to be made. Try again later.", headers={"Retry-After": str(RETRY_SECONDS)}) from None
    except (NoPdf, NotMade) as error:
        raise Problem(503, str(error)) from None
    if waits.applied and response.status_code != HTTPStatus.NOT_MODIFIED:
        response.headers["Preference-Applied"] = waits.applied
    response.vary.add("Prefer")
    return response


def _later(waits: Patience) -> Response:
    """202: it is being made, and where to look for it."""
    where = request.full_path.rstrip("?")
    headers = {"Location": where, "Retry-After": str(RETRY_SECONDS)}
    return reply_json({"status": "being_made", "href": where}, 202, headers)
