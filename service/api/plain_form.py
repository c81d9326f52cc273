"""The shop's form as plain pages served by the service itself, for any browser; driven by the same description as `GET /v1/form`."""

from __future__ import annotations

from flask import Blueprint, Response

from service.http.compression import compressed
from service.http.responses import produces
from service.web_form.visit import first_page, posted_page

plain_form = Blueprint("plain_form", __name__)
HTML = "text/html"


@plain_form.get("/form")
@compressed
@produces(HTML)
def begin() -> Response:
    """The first page of the form."""
    return first_page()


@plain_form.post("/form")
@compressed
@produces(HTML)
def go_on() -> Response:
    """The next page; at the end, the stored quote behind its customer's own link."""
    return posted_page()
