"""Error pages for URLs that people open, if the browser prefers HTML to a problem document."""

from __future__ import annotations

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from service.http.forms import PLAIN
from service.http.problems import MEDIA
from service.http.responses import JSON
from service.web_form.language import language_wanted
from service.web_form.pages import STYLE, style_hash
from service.web_form.refusal import ADDRESS, Fields, refusal_page
from service.web_form.visit import HTML, POLICY

DOCK = "/measure"  # the page for the dock, of service/measuring_page


def install(app: Flask) -> None:
    """Replace problems by pages on the form's URLs; status and headers stay."""

    @app.after_request
    def in_words(response: Response) -> Response:
        if response.mimetype != MEDIA or not _of_the_form() or not _likes_pages():
            return response
        fields = _fields()
        language = language_wanted(dict(fields).get("lang", ""))
        response.set_data(
            refusal_page(response.status_code, language, fields, response.headers.get("Retry-After", ""), g.get("request_id", ""))
        )
        response.mimetype = HTML
        response.headers["Content-Language"] = language
        response.headers["Content-Security-Policy"] = POLICY.format(style=style_hash(STYLE))
        response.vary.update(("Accept", "Accept-Language"))
        return response


def _of_the_form() -> bool:
    return request.path in (ADDRESS, DOCK) or request.path.startswith(f"{ADDRESS}/")


def _likes_pages() -> bool:
    return request.accept_mimetypes.best_match((MEDIA, JSON, HTML)) == HTML


def _fields() -> Fields:
    """The posted fields, as far as they can be read, to be sent again."""
    if request.path != ADDRESS or request.method != "POST" or request.mimetype != PLAIN:
        return []
    try:
        return list(request.form.items(multi=True))
    except HTTPException:
        return []
