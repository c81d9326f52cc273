"""Turns problem documents at the desk's addresses into pages. Status and headers stay; the page keeps what was typed, to send it again."""

from __future__ import annotations

from typing import NamedTuple

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from service.auth.sessions import PATH, TOKEN
from service.desk.fault_words import label_of
from service.desk.pages import HTML, language, page_headers, render_page
from service.http.forms import PLAIN
from service.http.problems import MEDIA

FILES = "multipart/form-data"
USED_UP = "sign_in_used"  # sending the same link again is useless
KEPT = frozenset({401, 409, 429, 503})  # after these the same form may be sent again
# Anyone can post a form: twice as many fields as the desk's largest form has, and more bytes than anybody types.
MOST_KEPT, MOST_BYTES = 1000, 250_000


class Field(NamedTuple):
    """A field of a form as it was sent."""

    name: str
    value: str

    @property
    def label(self) -> str:
        """Its label in the form; empty if it is not known here."""
        return label_of(self.name.partition("-")[0])


def install(app: Flask) -> None:
    """Have problem documents at the desk's addresses replaced by pages."""

    @app.after_request
    def in_words(response: Response) -> Response:
        if response.mimetype != MEDIA or not (request.path == PATH or request.path.startswith(f"{PATH}/")):
            return response
        code = response.get_json()["code"]
        fields = _fields() if response.status_code in KEPT and code != USED_UP else []
        page = render_page(
            "refused.html", answered=response.status_code, code=code, fields=fields, wait=response.headers.get("Retry-After", ""),
            request_id=g.get("request_id", ""), at=request.full_path.rstrip("?"), posted=request.method == "POST", files=request.mimetype == FILES,
        )  # fmt: skip
        response.set_data(page.get_data())
        response.mimetype = HTML
        response.headers.update(page_headers(language()))
        return response


def _fields() -> list[Field]:
    """The posted fields, as far as they can be read, without the form's token: the next form has its own."""
    if request.method != "POST" or request.mimetype != PLAIN or (request.content_length or 0) > MOST_BYTES:
        return []
    try:
        fields = [Field(name, value) for name, value in request.form.items(multi=True) if name != TOKEN]
        return fields if len(fields) <= MOST_KEPT else []
    except HTTPException:
        return []
