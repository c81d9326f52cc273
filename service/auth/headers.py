"""Headers of every response: the request id, security headers, and deprecation notices."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime

from flask import Flask, Response, request

from service.credentials.keys import LINKS
from service.http.caller import caller, requirement
from service.http.unproxied import current_request, request_state
from service.storage.ids import new_id

REQUEST_ID = "X-Request-Id"
_ID = re.compile(r"[A-Za-z0-9._:-]{1,100}", re.ASCII)
SECURITY = (
    ("X-Content-Type-Options", "nosniff"),
    ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"),
    ("Referrer-Policy", "no-referrer"),
)
SVG = "image/svg+xml; charset=utf-8"
SVG_SECURITY = (  # a drawing sets its own page size
    *(each for each in SECURITY if each[0] != "Content-Security-Policy"),
    ("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"),
)


@dataclass(frozen=True, slots=True)
class Ending:
    """An endpoint to be removed: since when it is deprecated, when it will be removed, and where its replacement is documented."""

    since: datetime
    ends: datetime
    instead: str


ENDINGS: dict[str, Ending] = {}  # by endpoint; none yet


def install(app: Flask) -> None:
    """Add the headers to every response."""

    @app.before_request
    def name_request() -> None:
        sent_id = current_request().environ.get("HTTP_X_REQUEST_ID")
        request_state()["request_id"] = sent_id if sent_id is not None and _ID.fullmatch(sent_id) else new_id()

    @app.after_request
    def add(response: Response) -> Response:
        headers = response.headers
        headers.add(REQUEST_ID, request_state().get("request_id") or new_id())
        for name, value in SECURITY if headers.get("Content-Type") != SVG else SVG_SECURITY:
            headers.setdefault(name, value)  # a page with styles or forms of its own has set its own policies
        if _keep_out_of_stores():
            headers["Cache-Control"] = "no-store"
        if ENDINGS and request.endpoint in ENDINGS:
            _announce(response, ENDINGS[request.endpoint])
        return response


def _keep_out_of_stores() -> bool:
    required, who = requirement(), caller()
    return (required is not None and required.personal) or (who is not None and who.kind in LINKS)


def _announce(response: Response, ending: Ending) -> None:
    """Set `Deprecation` (RFC 9745), `Sunset` (RFC 8594) and a link to further reading."""
    response.headers["Deprecation"] = f"@{int(ending.since.timestamp())}"
    response.headers["Sunset"] = format_datetime(ending.ends, usegmt=True)
    response.headers.add("Link", f'<{ending.instead}>; rel="deprecation"')
