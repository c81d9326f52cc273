"""The forms a stored quote is served in. To add one is a line in `FORMS` and, where it is made from the document alone, one in `_MAKERS`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Response, request

from service import json
from service.documents import quote_csv
from service.documents.quote_ubl import quotation
from service.documents.quote_xlsx import workbook
from service.forms import CSV, VARY, XLSX, XML, Form, reply_form
from service.problems import Problem, parameter_fault
from service.replies import JSON, chosen, reply_coded
from service.storage import Stored

Document = dict[str, Any]
FORMS: Mapping[str, Form] = {"csv": CSV, "xlsx": XLSX, "ubl": XML}
MEDIA = {"json": JSON, **{name: form.media for name, form in FORMS.items()}}
_MAKERS: Mapping[Form, Callable[[Document], bytes]] = {XLSX: workbook, XML: quotation}
TABLES: Mapping[str, Callable[[Document], bytes]] = {"lines": quote_csv.lines, "bill": quote_csv.bill}
USUAL_TABLE = "lines"


def in_form(stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quote in the form that the request prefers. Raises Problem: 406 for a form that is not offered, 422 for a table that is none."""
    media = chosen(MEDIA)
    if media == JSON:
        return reply_coded(stored.body, stored.packed_body, stored.etag, headers, VARY)
    form = next(each for each in FORMS.values() if each.media == media)
    if form is CSV:
        table = _table()
        return reply_form(CSV, lambda: TABLES[table](whole(stored)), f"{stored.etag}-{table}", f"{file_name(stored)}-{table}", headers)
    return reply_form(form, lambda: _MAKERS[form](whole(stored)), stored.etag, file_name(stored), headers)


def whole(stored: Stored) -> Document:
    """The quote's document with its head, as it is answered."""
    found: Document = json.read(stored.body())
    return found


def file_name(stored: Stored) -> str:
    """Number and revision, as Q-2026-000042-1."""
    return f"{stored.number}-{stored.revision}"


def _table() -> str:
    named = request.args.get("table", USUAL_TABLE)
    if named not in TABLES:
        words = f"a quote has the tables {' and '.join(TABLES)}"
        raise Problem(422, "The quote has no such table.", [parameter_fault("table", "unknown_table", words)])
    return named
