"""The formats of a stored quote. To add one, add its renderer to `FORMS`."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

from flask import Response, request

from pricing.model import Quote
from pricing.settling import as_it_stands
from service.documents.csv import quote as quote_csv
from service.documents.quotation.html import page, style_hashes
from service.documents.quotation.paper import paper
from service.documents.ubl.quotation import quotation
from service.documents.workbook.quote import workbook
from service.encoding import json
from service.encoding.gzip import pack
from service.encoding.languages import LANGUAGES
from service.formats.base import Served, serve
from service.formats.customer import POLICY, unaddressed, visit
from service.formats.replies import CSV, HTML, PDF, VARY, XLSX, XML
from service.formats.views import View, requested_view, viewed, with_preference
from service.http.caller import by_link, by_reading_link
from service.http.current import settings
from service.http.languages import requested_language
from service.http.problems import Problem, parameter_fault
from service.http.responses import JSON, SUMMARISED, chosen, reply_coded
from service.quotes.links import reading_link
from service.quotes.members import with_members
from service.storage import Stored

FORMS: Mapping[str, Served] = {
    "csv": Served(CSV, quote_csv.lines, says="Its priced lines"),  # or another of `TABLES`
    "xlsx": Served(XLSX, workbook, says="The quote as a workbook"),
    "ubl": Served(XML, quotation, says="The quote as a UBL Quotation"),
    "html": Served(HTML, page, styles=style_hashes),
    "pdf": Served(PDF, paper),
}
READER = "-reader"  # marks entity tags of what is made for visitors by a reading link
DATA = tuple(name for name, served in FORMS.items() if served.form not in (HTML, PDF))  # made from the quote alone, in one language
MEDIA = {"json": JSON, **{name: served.form.media for name, served in FORMS.items()}}
READ = {
    name: MEDIA[name] for name in ("json", "html", "pdf")
}  # offered by a reading link: the other formats contain the customer's e-mail address
TABLES: Mapping[str, Served] = {"lines": FORMS["csv"], "bill": Served(CSV, quote_csv.bill, says="Its bill of materials")}


def in_form(stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quote in the format the request prefers. Raises Problem: 406 for a format that is not offered, 422 for an unknown table."""
    media, view = chosen(READ if by_reading_link() else MEDIA), requested_view()
    if media == JSON:
        return with_preference(view, _viewed(stored, view, headers))
    if view.named and not view.whole:
        words = "ask for JSON, or leave out the view"
        raise Problem(422, "Only the JSON of a quote has a summary.", [parameter_fault("view", "view_of_json_only", words)])
    served, of, name = next(each for each in FORMS.values() if each.form.media == media), stored.etag, file_name(stored)
    if served.form is HTML:
        return _page(served, stored, headers)
    if served.form is PDF:
        return _paper(served, stored, headers)
    if served.form is CSV:
        table = _table()
        served, of, name = TABLES[table], f"{of}-{table}", f"{name}-{table}"
    return serve(served, stored, of, name, lambda: (quote_for_papers(stored),), headers)


def _viewed(stored: Stored, view: View, headers: Mapping[str, str]) -> Response:
    if view.whole and not by_reading_link():
        return reply_coded(stored.body, stored.packed_body, stored.etag, headers, VARY)

    def made() -> bytes:
        return viewed(view, _unaddressed_body(stored) if by_reading_link() else stored.body())

    return reply_coded(made, lambda: pack(made()), f"{stored.etag}{'' if view.whole else SUMMARISED}", headers, VARY)


def _unaddressed_body(stored: Stored) -> bytes:
    """The quote's JSON as stored, without the customer's e-mail address."""
    document = json.read(stored.body())
    return json.write({**document, "customer": {**document["customer"], "email": None}})


def _page(served: Served, stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quotation as a page, in the language that the request prefers; for a customer by a link, with forms for an answer."""
    language, country, base = paper_language("the quotation", stored), settings().holidays, settings().base_url
    of, reading = _state_of_quotation(stored, language), by_reading_link()
    seen = visit(stored, language) if by_link() else None
    if seen is not None:  # for this visit alone; not compressed, since its token is beside text that others wrote
        of, served = f"{of}-{seen.once}", served._replace(form=HTML._replace(packs=False), policy=POLICY)
    all_headers = {**headers, "Content-Language": language}
    response = serve(
        served, stored, of, f"{file_name(stored)}-{language}", lambda: (shown(stored, reading), language, country, base, seen), all_headers
    )
    response.vary.add("Accept-Language")
    return response


def _paper(served: Served, stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quotation as a PDF; with `attached=ubl`, one for archives (PDF/A-3) that has the UBL quotation in it."""
    language, archived = paper_language("the quotation", stored), _attached()
    online = reading_link(stored)
    at = f"-{sha256(online.encode()).hexdigest()[:8]}" if online else ""
    of = f"{_state_of_quotation(stored, language)}{at}{'-archived' if archived else ''}{READER if by_reading_link() else ''}"
    given = (language, settings().holidays, settings().base_url, online, archived)
    all_headers = {**headers, "Content-Language": language}
    response = serve(served, stored, of, f"{file_name(stored)}-{language}", lambda: (printed(stored, online), *given), all_headers)
    response.vary.add("Accept-Language")
    return response


def _attached() -> bool:
    named = request.args.get("attached")
    if named not in (None, "ubl"):
        raise Problem(
            422, "Only the UBL quotation can be attached.", [parameter_fault("attached", "unknown_attachment", "give ubl, or leave it out")]
        )
    return named is not None


def _state_of_quotation(stored: Stored, language: str) -> str:
    """What a quote's quotation in a language is made from, as one word: the quote's current state, and the settings that the page
    depends on.
    """
    country, base = settings().holidays, settings().base_url
    at = f"-{sha256(base.encode()).hexdigest()[:8]}" if base else ""
    return f"{stored.etag}-{language}-{country or 'weekdays'}{at}"


def paper_language(what: str, stored: Stored) -> str:
    """The language of a paper of a quote: the requested one, otherwise the quote's own. Raises Problem (422)."""
    return requested_language(what, lambda: language_of(stored))


def language_of(stored: Stored) -> str:
    """The quote's own language; quotes of earlier releases are English."""
    return str(json.read(stored.body()).get("language", LANGUAGES[0]))


def quotation_language() -> str:
    """The requested language of the quotations of a batch. Raises Problem (422)."""
    return requested_language("the quotation")


def quote_for_papers(stored: Stored) -> Quote:
    """The quote as papers may show it (`pricing.settling`), with its head and the members of its assemblies."""
    return as_it_stands(with_members(stored))


def printed(stored: Stored, online: str | None) -> Quote:
    """The same for paper: without the e-mail address if it carries a code of its page, where whoever accepts is asked for that address."""
    return shown(stored, online is not None or by_reading_link())


def shown(stored: Stored, reading: bool) -> Quote:
    """The same, without the e-mail address for whoever comes by a reading link (`reading`)."""
    return unaddressed(quote_for_papers(stored)) if reading else quote_for_papers(stored)


def file_name(stored: Stored) -> str:
    """Number and revision, for example Q-2026-000042-1."""
    return f"{stored.number}-{stored.revision}"


def _table() -> str:
    named = request.args.get("table", "lines")
    if named not in TABLES:
        words = f"a quote has the tables {' and '.join(TABLES)}"
        raise Problem(422, "The quote has no such table.", [parameter_fault("table", "unknown_table", words)])
    return named
