"""Direct access to the objects behind Flask's context proxies, for code that runs several times in every request.

Each attribute access through a proxy looks up the context again; together these look-ups were a tenth of the time of a small read.
"""

from __future__ import annotations

from typing import Any, cast

from flask import Flask, Request, current_app, g, request


def current_request() -> Request:
    """The object behind Flask's `request`."""
    return cast("Request", request._get_current_object())  # type: ignore[attr-defined]  # noqa: SLF001  # the proxy's documented way


def current_application() -> Flask:
    """The object behind Flask's `current_app`."""
    return cast("Flask", current_app._get_current_object())  # type: ignore[attr-defined]  # noqa: SLF001


def request_state() -> dict[str, Any]:
    """The attributes of Flask's `g`, by name: what the hooks have noted about the current request. Changes to the dictionary change `g`."""
    state: dict[str, Any] = g._get_current_object().__dict__  # noqa: SLF001
    return state


def query_parameter(name: str) -> str | None:
    """The value of a query parameter of the current request, or None. Does not parse an empty query, which most requests have."""
    sent = current_request()
    return sent.args.get(name) if sent.environ.get("QUERY_STRING") else None
