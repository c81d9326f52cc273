"""Client preferences (`Prefer`, RFC 7240), such as how much of the result the client wants to receive."""

from __future__ import annotations

from flask import request
from werkzeug.http import parse_list_header

from service.http.unproxied import current_request

RETURNS = ("minimal", "representation")


def preferences() -> dict[str, str]:
    """The request's preferences by name, each with its value or an empty string. If a name is repeated, the first counts (RFC 7240, 2)."""
    found: dict[str, str] = {}
    for wish in parse_list_header(",".join(request.headers.getlist("Prefer"))):
        name, _, value = wish.partition(";")[0].partition("=")
        found.setdefault(name.strip().lower(), value.strip().strip('"'))
    return found


def preferred_return() -> str | None:
    """One of `RETURNS` (RFC 7240, 4.2); None if the request prefers neither. Any other value is ignored, as the RFC requires."""
    if "HTTP_PREFER" not in current_request().environ:
        return None
    wish = preferences().get("return", "").lower()
    return wish if wish in RETURNS else None
