"""The forms of a bench sheet, with the catalogue's edition that its quote was made with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Response

from service import json
from service.catalogues import NotKept
from service.documents.bench_sheet import bench_sheet
from service.documents.bench_sheet_html import page, style_hashes
from service.documents.benchsheet.known import Known
from service.forms import HTML, PAGE_POLICY, PDF, Form, reply_form
from service.parts import catalogues
from service.pdf_forms import reply_pdf
from service.quote_forms import file_name, whole
from service.replies import JSON, chosen
from service.storage import Edition, Stored

AS_JSON = Form(JSON, "json")
FORMS: Mapping[str, Form] = {"json": AS_JSON, "html": HTML, "pdf": PDF}
MEDIA = {name: form.media for name, form in FORMS.items()}
_MAKERS: Mapping[Form, Callable[[dict[str, Any], Known], bytes]] = {
    AS_JSON: lambda document, known: json.write(bench_sheet(document, known)),
    HTML: page,
}


def in_form(stored: Stored) -> Response:
    """The bench sheet in the form that the request prefers. Raises Problem (406)."""
    media = chosen(MEDIA)
    form = next(each for each in FORMS.values() if each.media == media)
    document = whole(stored)
    known = known_to(document)
    of = f"{stored.etag}-bench{'' if known.kept else '-bare'}"
    name = f"{file_name(stored)}-bench-sheet"
    if form is PDF:
        return reply_pdf(stored, "bench-sheet", of, lambda: page(document, known), name)
    policy = {"Content-Security-Policy": PAGE_POLICY.format(styles=style_hashes())} if form is HTML else {}
    return reply_form(form, lambda: _MAKERS[form](document, known), of, name, policy)


def known_to(document: Mapping[str, Any]) -> Known:
    """The tables that a quote was made with, where they are kept."""
    provenance = document["provenance"]
    try:
        index = catalogues().of(Edition(provenance["catalogue"], provenance["price_table"])).catalogue.index
    except NotKept:
        return Known()
    return Known(index.article, index.thread, kept=True)
