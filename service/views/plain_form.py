"""The shop's form as plain pages that the service itself serves, for browsers of any kind; driven by the same description as `GET /v1/form`."""

from __future__ import annotations

from flask import Blueprint, Response

from service.form.visit import begun, gone_on
from service.replies import offers

plain_form = Blueprint("plain_form", __name__)
HTML = "text/html"


@plain_form.get("/form")
@offers(HTML)
def begin() -> Response:
    """Its first page."""
    return begun()


@plain_form.post("/form")
@offers(HTML)
def go_on() -> Response:
    """The next page; at the end the quote, stored, by a link of its customer's own."""
    return gone_on()
