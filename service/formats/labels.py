"""The labels of a quote's pieces, as a PDF."""

from __future__ import annotations

from hashlib import sha256

from flask import Response

from service.documents.labels.content import count
from service.documents.labels.paper import ON, paper
from service.formats.base import Served, serve
from service.formats.quote import file_name, paper_language, quote_for_papers
from service.formats.replies import PDF
from service.formats.tagged import asked_place
from service.http.current import settings
from service.http.parameters import one_of
from service.http.problems import Problem, parameter_fault
from service.storage import Stored

MOST = 1000
_SERVED = Served(PDF, paper)


def labels_of(stored: Stored) -> Response:
    """The labels that the request asks for. Raises Problem: 422 for a parameter without meaning, or for more labels than are made at once."""
    on, language, base = one_of("on", ON), paper_language("the labels", stored), settings().base_url
    quote = quote_for_papers(stored)
    place = asked_place(quote)
    tag = None if place is None else quote.assemblies[place].tag
    _refuse_too_many(count(quote, tag))
    at = f"-{sha256(base.encode()).hexdigest()[:8]}" if base else ""
    of = f"{stored.etag}-labels-{on}-{language}{at}{'' if place is None else f'-{place}'}"
    name = f"{file_name(stored)}-labels-{on}-{language}"
    response = serve(_SERVED, stored, of, name, lambda: (quote, language, on, base, tag), {"Content-Language": language})
    response.vary.add("Accept-Language")
    return response


def _refuse_too_many(asked: int) -> None:
    if asked > MOST:
        words = f"{asked} labels are more than {MOST}: ask for the labels of one assembly by its tag"
        raise Problem(422, "These are more labels than are made at once.", [parameter_fault("tag", "too_many_labels", words)])
