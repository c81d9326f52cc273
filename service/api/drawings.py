"""The drawing of a wire that is still being written. Nothing is stored."""

from __future__ import annotations

from flask import Blueprint, Response

from service.http.bodies import decoded, read_body
from service.http.compression import compressed
from service.http.parameters import query_parameters
from service.http.responses import reply_json
from service.schemas.draft import read_draft
from service.web_form.drawing import drawn
from service.web_form.language import language_asked

drawings = Blueprint("drawings", __name__)
MOST_BYTES = 32_768  # a form's longest answers are well below this


@drawings.post("/v1/drawings")
@query_parameters("lang")
@compressed
def draw() -> Response:
    """The wire as drawn so far."""
    language = language_asked()
    response = reply_json(drawn(read_draft(decoded(read_body(MOST_BYTES))), language))
    response.headers["Content-Language"] = language
    response.vary.add("Accept-Language")
    return response
