"""The measuring sheet: downloaded to be filled in, sent back to be understood. Nothing is stored."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.bodies import read_file
from service.form.language import language_asked
from service.form.sheet.answer import READERS, answered
from service.form.sheet.offered import FORMATS, sheet_file
from service.parameters import takes
from service.problems import Problem
from service.replies import chosen, offers, reply_json

measuring_sheet = Blueprint("measuring_sheet", __name__)


@measuring_sheet.get("/v1/measuring-sheet")
@offers(*FORMATS.values())
@takes("format", "lang", "units", "assemblies")
def blank() -> Response:
    """A sheet to fill in."""
    return sheet_file(chosen(FORMATS), language_asked())


@measuring_sheet.post("/v1/measuring-sheet")
@takes("lang")
def filled_in() -> Response:
    """The request that a sheet makes, or every fault at its cell."""
    language = language_asked()
    answer = answered(read_file(READERS), request.mimetype, language)
    if answer.faults:
        words = "The measuring sheet cannot be taken as it is; each fault is listed with its cell and what to write there."
        raise Problem(422, words, answer.faults)
    return reply_json(answer.said(), headers={"Content-Language": language})
