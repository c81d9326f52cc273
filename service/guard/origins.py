"""Cross-origin requests of browsers (Fetch standard, CORS): answered for the origins that the shop's publishable keys are bound to."""

from __future__ import annotations

from flask import Flask, Response, request

from service.guard.entrance import caller, keyring
from service.guard.keys import Kind

SENT = "Authorization, Content-Type, Idempotency-Key, If-Match, If-None-Match, Prefer, X-Request-Id"
SHOWN = (
    "Content-Disposition, Content-Language, Deprecation, ETag, Link, Location, Preference-Applied, RateLimit, RateLimit-Policy, "
    "Retry-After, Sunset, WWW-Authenticate, X-Request-Id"
)
PREFLIGHT_SECONDS = "600"


def install(app: Flask) -> None:
    """Answer preflights, and let the origins of a key read its replies."""

    @app.before_request
    def preflight() -> Response | None:
        if request.method != "OPTIONS" or "Access-Control-Request-Method" not in request.headers or request.url_rule is None:
            return None
        answer = app.make_default_options_response()
        answer.status_code = 204
        answer.headers["Vary"] = "Origin, Access-Control-Request-Method, Access-Control-Request-Headers"
        if request.headers.get("Origin") in keyring().origins():
            answer.headers["Access-Control-Allow-Methods"] = answer.headers["Allow"]
            answer.headers["Access-Control-Allow-Headers"] = SENT
            answer.headers["Access-Control-Max-Age"] = PREFLIGHT_SECONDS
        return answer

    @app.after_request
    def allow(response: Response) -> Response:
        origin = request.headers.get("Origin")
        if origin is None or "Access-Control-Allow-Origin" in response.headers:  # what any page may read says so itself
            return response
        response.vary.add("Origin")
        if origin in _allowed():
            response.headers["Access-Control-Allow-Origin"] = origin
            response.headers["Access-Control-Expose-Headers"] = SHOWN
        return response


def _allowed() -> frozenset[str]:
    """The key's own origins; where no publishable key was let in, those of all, so that a page can read why. A server's key has none."""
    who = caller()
    if who is None or who.kind is Kind.LINK:
        return keyring().origins()
    return who.origins
