"""The forms a stored quote is served in. To add one is a line in `FORMS`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response, request

from service import json
from service.documents import quote_csv
from service.documents.quote_ubl import quotation
from service.documents.quote_xlsx import workbook
from service.forms import CSV, VARY, XLSX, XML
from service.problems import Problem, parameter_fault
from service.replies import JSON, chosen, reply_coded
from service.served import Served, serve
from service.storage import Stored

Document = dict[str, Any]
FORMS: Mapping[str, Served] = {
    "csv": Served(CSV, quote_csv.lines),  # or another of `TABLES`
    "xlsx": Served(XLSX, workbook),
    "ubl": Served(XML, quotation),
}
MEDIA = {"json": JSON, **{name: served.form.media for name, served in FORMS.items()}}
TABLES: Mapping[str, Served] = {"lines": FORMS["csv"], "bill": Served(CSV, quote_csv.bill)}


def in_form(stored: Stored, headers: Mapping[str, str]) -> Response:
    """The quote in the form that the request prefers. Raises Problem: 406 for a form that is not offered, 422 for a table that is none."""
    media = chosen(MEDIA)
    if media == JSON:
        return reply_coded(stored.body, stored.packed_body, stored.etag, headers, VARY)
    served, of, name = next(each for each in FORMS.values() if each.form.media == media), stored.etag, file_name(stored)
    if served.form is CSV:
        table = _table()
        served, of, name = TABLES[table], f"{of}-{table}", f"{name}-{table}"
    return serve(served, stored, of, name, lambda: (whole(stored),), headers)


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
