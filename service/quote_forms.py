"""The forms a stored quote is served in. To add one is a line in `FORMS`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from hashlib import sha256
from typing import Any

from flask import Response, request

from service import json
from service.documents import quote_csv
from service.documents.quotation.speech import LANGUAGES
from service.documents.quotation_html import page, style_hashes
from service.documents.quote_ubl import quotation
from service.documents.quote_xlsx import workbook
from service.forms import CSV, HTML, PDF, VARY, XLSX, XML
from service.parts import settings
from service.problems import Problem, parameter_fault
from service.replies import JSON, chosen, reply_coded
from service.served import Served, serve
from service.storage import Stored

Document = dict[str, Any]
FORMS: Mapping[str, Served] = {
    "csv": Served(CSV, quote_csv.lines),  # or another of `TABLES`
    "xlsx": Served(XLSX, workbook),
    "ubl": Served(XML, quotation),
    "html": Served(HTML, page, styles=style_hashes),
    "pdf": Served(PDF, partial(page, for_paper=True), kept_as="quotation"),  # and its language
}
MEDIA = {"json": JSON, **{name: served.form.media for name, served in FORMS.items()}}
TABLES: Mapping[str, Served] = {"lines": FORMS["csv"], "bill": Served(CSV, quote_csv.bill)}


def in_form(stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quote in the form that the request prefers. Raises Problem: 406 for a form that is not offered, 422 for a table that is none."""
    media = chosen(MEDIA)
    if media == JSON:
        return reply_coded(stored.body, stored.packed_body, stored.etag, headers, VARY)
    served, of, name = next(each for each in FORMS.values() if each.form.media == media), stored.etag, file_name(stored)
    if served.form in (HTML, PDF):
        return _quotation(served, stored, headers)
    if served.form is CSV:
        table = _table()
        served, of, name = TABLES[table], f"{of}-{table}", f"{name}-{table}"
    return serve(served, stored, of, name, lambda: (whole(stored),), headers)


def _quotation(served: Served, stored: Stored, headers: Mapping[str, str]) -> Response:
    """The page or the PDF, in the language that the request prefers."""
    language, country, base = asked_language(), settings().holidays, settings().base_url
    served = served._replace(kept_as=f"{served.kept_as}-{language}") if served.kept_as else served
    of = state_of_quotation(language)(stored)
    said = {**headers, "Content-Language": language}
    response = serve(served, stored, of, f"{file_name(stored)}-{language}", lambda: (whole(stored), language, country, base), said)
    response.vary.add("Accept-Language")
    return response


def state_of_quotation(language: str) -> Callable[[Stored], str]:
    """What the quotation of a quote in a language is made of, as one word: the quote as it stands, and the settings that the page depends on."""
    country, base = settings().holidays, settings().base_url
    at = f"-{sha256(base.encode()).hexdigest()[:8]}" if base else ""
    return lambda stored: f"{stored.etag}-{language}-{country or 'weekdays'}{at}"


def asked_language() -> str:
    """`?lang=` for people, else `Accept-Language`, else English. Raises Problem (422)."""
    named = request.args.get("lang")
    if named is None:
        wished = (tag.partition("-")[0].lower() for tag in request.accept_languages.values())  # best first; RFC 4647, 3.4: de-AT finds de
        return next((each for each in wished if each in LANGUAGES), LANGUAGES[0])
    if named not in LANGUAGES:
        words = f"a quotation is written in {' and '.join(LANGUAGES)}"
        raise Problem(422, "The quotation is not written in this language.", [parameter_fault("lang", "unknown_language", words)])
    return named


def whole(stored: Stored) -> Document:
    """The quote's document with its head, as it is answered."""
    found: Document = json.read(stored.body())
    return found


def file_name(stored: Stored) -> str:
    """Number and revision, as Q-2026-000042-1."""
    return f"{stored.number}-{stored.revision}"


def _table() -> str:
    named = request.args.get("table", "lines")
    if named not in TABLES:
        words = f"a quote has the tables {' and '.join(TABLES)}"
        raise Problem(422, "The quote has no such table.", [parameter_fault("table", "unknown_table", words)])
    return named
