"""Handles requests to the sheet's page: a file is posted, a page is returned; at the end, the requested quote. Nothing is stored in
between.
"""

from __future__ import annotations

import uuid
from typing import Any

from flask import Response, request
from markupsafe import Markup
from werkzeug.datastructures import MultiDict

from service.encoding import json
from service.encoding.languages import LANGUAGES
from service.http.bodies import refuse_too_large
from service.http.current import price_lists
from service.http.problems import Problem
from service.http.responses import reply
from service.measuring_sheet.answer import CSV, XLSX, Answer
from service.measuring_sheet.asking_who import completed, lacking
from service.measuring_sheet.computed import sheet_answer
from service.measuring_sheet.layout import MOST_WIRES, UNITS, USUAL_WIRES
from service.schemas import read_request
from service.web_form.asking import N_
from service.web_form.described import described
from service.web_form.language import language_wanted
from service.web_form.pages import STYLE, environment, style_hash
from service.web_form.storing import stored_once
from service.web_form.visit import HTML, POLICY
from service.wording import translator

ADDRESS = "/form/sheet"
_BINARY = (b"PK", b"\xd0\xcf\x11\xe0")  # a zip or a compound file: the workbook reader reports what is wrong with it
_ENGLISH = ("gap", "rows_differ", "written_twice", "not_a_boolean", "unknown_column", "not_csv", "line_too_long", "charset")
NO_FILE = N_("Choose the file that you filled in, then send it.")
BROKEN = N_("The page came back changed or cut off, and nothing was requested: send the sheet again.")


def first_page() -> Response:
    """The page before a sheet is sent."""
    return _page(language_wanted(), Answer())


def posted_page() -> Response:
    """The response to a posted sheet, or to the button that requests the quote. Raises Problem (411, 413; 409 and 422 as for a reused key)."""
    refuse_too_large()
    form = request.form  # only now, so that a body that is too large is not read
    language = language_wanted(form.get("lang", ""))
    if form.get("go") == "send":
        return _request_quote(form, language)
    file = request.files.get("sheet")
    body = file.read() if file is not None else b""
    if not body:
        return _page(language, _faulty(NO_FILE, "no_file", language))
    return _page(language, sheet_answer(body, XLSX if body.startswith(_BINARY) else CSV, language))


def _faulty(words: str, code: str, language: str) -> Answer:
    return Answer(faults=[{"code": code, "detail": translator(language)(words)}])


def _request_quote(form: MultiDict[str, str], language: str) -> Response:
    """Store the quote, once however often the page is form."""
    try:
        once = str(uuid.UUID(form.get("once", "")))
        whole = json.read(form.get("request", "").encode())
        if isinstance(whole, dict) and (words := completed(described(language), whole, form)):
            return _page(language, Answer(faults=[{"code": "required", "detail": words}]))
        body = json.write(whole)
        asked = read_request(whole, price_lists())
    except (ValueError, json.NotJson):
        return _page(language, _faulty(BROKEN, "broken", language))
    except Problem as problem:
        return _page(language, Answer(faults=[dict(each) for each in problem.faults]))
    return stored_once(asked, body, once, language)


def _page(language: str, answer: Answer) -> Response:
    html = environment(language).get_template("sheet.html").render(
        language=language, languages=LANGUAGES, style=Markup(STYLE), address=ADDRESS, answer=answer, wires=_wires(answer, language), faults=[{**_with_defaults(each), "language": _language_of(each, language)} for each in answer.faults],  # noqa: S704  # own file
        general=[_with_defaults(each) for each in (*answer.assumptions, *answer.findings) if each.get("row") not in answer.rows],
        packed=json.write(answer.request).decode(), who=lacking(described(language), answer.request) if answer.request else (), once=str(uuid.uuid4()), units=UNITS, usual=USUAL_WIRES, most=MOST_WIRES,
    )  # fmt: skip
    headers = {
        "Content-Language": language,
        "Content-Security-Policy": POLICY.format(style=style_hash()),
        "Cache-Control": "no-store",
        "Vary": "Accept-Language",
    }
    return reply(html.encode(), 200, headers, HTML)


def _wires(answer: Answer, language: str) -> list[dict[str, Any]]:
    """Each assembly with its row and cells, the assumptions made about it, and the engine's findings."""
    if not answer.document or answer.faults:
        return []
    return [
        {
            "tag": assembly["tag"],
            "row": row,
            "readiness": assembly["readiness"],
            "cells": list(map(_with_defaults, cells)),
            "assumed": [_with_defaults(each) for each in answer.assumptions if each.get("row") == row],
            "findings": [_with_defaults(each) for each in answer.findings if each.get("row") == row and each["severity"] != "note"],
        }
        for assembly, row, cells in zip(answer.document["assemblies"], answer.rows, answer.wires, strict=True)
    ]


def _with_defaults(message: dict[str, Any]) -> dict[str, Any]:
    """A message about a cell, with None for the parts of its place that it lacks."""
    return {
        **dict.fromkeys(("row", "column_name", "label", "cell", "written", "length")),
        **message,
    }


def _language_of(fault: dict[str, Any], language: str) -> str:
    """The language of a message about a cell: the table reader writes English."""
    return "en" if fault["code"] in _ENGLISH else language
