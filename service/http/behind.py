"""What stands behind Flask's proxies, for what is looked at several times in every request: each look through a proxy searches for the context
again, and all of them together were a tenth of answering a small read.
"""

from __future__ import annotations

from typing import Any, cast

from flask import Flask, Request, current_app, g, request


def the_request() -> Request:
    """The request that Flask's `request` stands for."""
    return cast("Request", request._get_current_object())  # type: ignore[attr-defined]  # noqa: SLF001  # the proxy's documented way


def the_application() -> Flask:
    """The application that Flask's `current_app` stands for."""
    return cast("Flask", current_app._get_current_object())  # type: ignore[attr-defined]  # noqa: SLF001


def the_facts() -> dict[str, Any]:
    """What is known of the current request, by name: all that `g` holds."""
    found: dict[str, Any] = g._get_current_object().__dict__  # noqa: SLF001
    return found


def parameter(name: str) -> str | None:
    """A query parameter of the current request, or None; most requests have no query that would have to be read."""
    asked = the_request()
    return asked.args.get(name) if asked.environ.get("QUERY_STRING") else None
