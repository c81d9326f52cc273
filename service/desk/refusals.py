"""Refusals at the desk as pages; status and headers stay. What was typed is kept in the page, to be sent again."""

from __future__ import annotations

from typing import NamedTuple

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from service.auth.sessions import PATH, TOKEN
from service.desk.fault_words import label_of
from service.desk.pages import HTML, headers_of, language, shown
from service.http.forms import PLAIN
from service.http.problems import MEDIA

FILES = "multipart/form-data"
USED_UP = "sign_in_used"  # to send the same link again is of no use
KEPT = frozenset({401, 409, 429, 503})  # where the same form may be sent again
# strangers send forms too: twice as many fields as the largest form of the desk has, and more bytes than anybody types
MOST_KEPT, MOST_BYTES = 1000, 250_000


class Field(NamedTuple):
    """A field of a form as it was sent."""

    name: str
    value: str

    @property
    def label(self) -> str:
        """What it is called where it was typed; empty if that is not known here."""
        return label_of(self.name.partition("-")[0])


def install(app: Flask) -> None:
    """Replace problems by pages at the desk's addresses."""

    @app.after_request
    def in_words(response: Response) -> Response:
        if response.mimetype != MEDIA or not (request.path == PATH or request.path.startswith(f"{PATH}/")):
            return response
        code = response.get_json()["code"]
        fields = _fields() if response.status_code in KEPT and code != USED_UP else []
        page = shown(
            "refused.html", answered=response.status_code, code=code, fields=fields, wait=response.headers.get("Retry-After", ""),
            request_id=g.get("request_id", ""), at=request.full_path.rstrip("?"), posted=request.method == "POST", files=request.mimetype == FILES,
        )  # fmt: skip
        response.set_data(page.get_data())
        response.mimetype = HTML
        response.headers.update(headers_of(language()))
        return response


def _fields() -> list[Field]:
    """What was typed, as far as it can be read. The token is left out: the next form has its own."""
    if request.method != "POST" or request.mimetype != PLAIN or (request.content_length or 0) > MOST_BYTES:
        return []
    try:
        fields = [Field(name, value) for name, value in request.form.items(multi=True) if name != TOKEN]
        return fields if len(fields) <= MOST_KEPT else []
    except HTTPException:
        return []
