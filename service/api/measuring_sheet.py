"""The measuring sheet: download it, fill it in, and send it back to be read. Nothing is stored."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.http.bodies import read_file
from service.http.parameters import query_parameters
from service.http.problems import Problem
from service.http.responses import chosen, produces, reply_json
from service.measuring_sheet.answer import READERS
from service.measuring_sheet.computed import sheet_answer
from service.measuring_sheet.offered import FORMATS, sheet_file
from service.web_form.language import language_asked

measuring_sheet = Blueprint("measuring_sheet", __name__)


@measuring_sheet.get("/v1/measuring-sheet")
@produces(*FORMATS.values())
@query_parameters("format", "lang", "units", "assemblies")
def blank() -> Response:
    """A blank sheet to fill in."""
    return sheet_file(chosen(FORMATS), language_asked())


@measuring_sheet.post("/v1/measuring-sheet")
@query_parameters("lang")
def filled_in() -> Response:
    """The request described by a completed sheet, or every fault with its cell."""
    language = language_asked()
    answer = sheet_answer(read_file(READERS), request.mimetype, language)
    if answer.faults:
        words = "The measuring sheet cannot be taken as it is; each fault is listed with its cell and what to write there."
        raise Problem(422, words, answer.faults)
    return reply_json(answer.as_json(), headers={"Content-Language": language})
