"""Pages for refusals, for a customer who opens a quotation by a link or sends an answer, if the page itself cannot be shown."""

from __future__ import annotations

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from service.documents.quotation.customer import Typed
from service.documents.quotation.html import refused, style_hashes
from service.encoding.languages import LANGUAGES
from service.formats.customer import POLICY
from service.formats.replies import HTML
from service.http.forms import PLAIN
from service.http.languages import preferred_language
from service.http.parameters import TOKEN
from service.http.problems import MEDIA
from service.http.responses import JSON

ENDPOINTS = frozenset({"quotes.read", "customer.page", "customer.reply"})
STATUSES = frozenset({401, 429, 500, 503})


def install(app: Flask) -> None:
    """Replace problems by pages for a browser with a link; status and headers stay."""

    @app.after_request
    def in_words(response: Response) -> Response:
        if response.status_code not in STATUSES or response.mimetype != MEDIA or not _opened_by_a_link():
            return response
        named, fields = request.args.get("lang", ""), _fields()
        language = named if named in LANGUAGES else preferred_language()
        typed, wait, query = Typed.of(dict(fields)), response.headers.get("Retry-After", ""), request.query_string.decode()
        response.set_data(refused(response.status_code, language, fields, typed, wait, query, g.get("request_id", "")))
        response.mimetype = HTML.media
        response.headers["Content-Language"] = language
        response.headers["Content-Security-Policy"] = POLICY.format(styles=style_hashes())
        response.headers["Cache-Control"] = "no-store"
        response.vary.update(("Accept", "Accept-Language"))
        return response


def _opened_by_a_link() -> bool:
    if request.endpoint not in ENDPOINTS or TOKEN not in request.args or "Authorization" in request.headers:
        return False
    return (
        request.args.get("format") in (None, "html", "pdf") and request.accept_mimetypes.best_match((MEDIA, JSON, HTML.media)) == HTML.media
    )


def _fields() -> list[tuple[str, str]]:
    """The posted fields, as far as they can be read, to send them again."""
    if request.method != "POST" or request.mimetype != PLAIN:
        return []
    try:
        return list(request.form.items(multi=True))
    except HTTPException:
        return []
