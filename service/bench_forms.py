"""The forms of a bench sheet, with the catalogue's edition that its quote was made with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from service import json
from service.catalogues import NotKept
from service.documents.bench_sheet import bench_sheet
from service.documents.bench_sheet_html import page, style_hashes
from service.documents.benchsheet.known import Known
from service.forms import HTML, PDF, Form
from service.parts import catalogues
from service.quote_forms import file_name, whole
from service.replies import JSON, chosen
from service.served import Served, serve
from service.storage import Edition, Stored

FORMS: Mapping[str, Served] = {
    "json": Served(Form(JSON, "json"), lambda document, known: json.write(bench_sheet(document, known))),
    "html": Served(HTML, page, styles=style_hashes),
    "pdf": Served(PDF, page, kept_as="bench-sheet"),
}
MEDIA = {name: served.form.media for name, served in FORMS.items()}


def in_form(stored: Stored) -> Response:
    """The bench sheet in the form that the request prefers. Raises Problem: 406, or 503 for a PDF that cannot be made."""
    media = chosen(MEDIA)
    served = next(each for each in FORMS.values() if each.form.media == media)
    document = whole(stored)
    known = known_to(document)
    of = f"{stored.etag}-bench{'' if known.kept else '-bare'}"
    return serve(served, stored, of, f"{file_name(stored)}-bench-sheet", lambda: (document, known))


def known_to(document: Mapping[str, Any]) -> Known:
    """The tables that a quote was made with, where they are kept."""
    provenance = document["provenance"]
    try:
        index = catalogues().of(Edition(provenance["catalogue"], provenance["price_table"])).catalogue.index
    except NotKept:
        return Known()
    return Known(index.article, index.thread, kept=True)
