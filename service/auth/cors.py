"""CORS (Fetch standard): allows cross-origin requests from the origins that the shop's publishable keys are bound to."""

from __future__ import annotations

from flask import Flask, Response

from service.auth.authenticate import keyring
from service.credentials.keys import LINKS
from service.http.caller import caller
from service.http.responses import vary
from service.http.unproxied import current_request

SENT = "Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, Prefer, X-Request-Id"
SHOWN = (
    "Content-Disposition, Content-Language, Deprecation, ETag, Link, Location, Preference-Applied, RateLimit, RateLimit-Policy, "
    "Retry-After, Sunset, WWW-Authenticate, X-Request-Id"
)
PREFLIGHT_SECONDS = "600"


def install(app: Flask) -> None:
    """Answer preflights, and let a key's origins read its responses."""

    @app.before_request
    def preflight() -> Response | None:
        sent = current_request()
        if sent.method != "OPTIONS" or "Access-Control-Request-Method" not in sent.headers or sent.url_rule is None:
            return None
        answer = app.make_default_options_response()
        answer.status_code = 204
        answer.headers["Vary"] = "Origin, Access-Control-Request-Method, Access-Control-Request-Headers"
        if sent.headers.get("Origin") in keyring().origins():
            answer.headers["Access-Control-Allow-Methods"] = answer.headers["Allow"]
            answer.headers["Access-Control-Allow-Headers"] = SENT
            answer.headers["Access-Control-Max-Age"] = PREFLIGHT_SECONDS
        return answer

    @app.after_request
    def allow(response: Response) -> Response:
        origin = current_request().environ.get("HTTP_ORIGIN")
        if origin is None or "Access-Control-Allow-Origin" in response.headers:  # resources that any page may read set it themselves
            return response
        vary(response, "Origin")
        if origin in _allowed():
            response.headers["Access-Control-Allow-Origin"] = origin
            response.headers["Access-Control-Expose-Headers"] = SHOWN
        return response


def _allowed() -> frozenset[str]:
    """The key's own origins; if no key was accepted, those of all publishable keys, so that a page can read the reason. A
    server's key has none.
    """
    who = caller()
    if who is None or who.kind in LINKS:
        return keyring().origins()
    return who.origins
