"""The current request itself, for what looks at it several times in every request: each look through Flask's proxy costs another search for
the context.
"""

from __future__ import annotations

from typing import cast

from flask import Request, request


def the_request() -> Request:
    """The request that Flask's `request` stands for."""
    return cast("Request", request._get_current_object())  # type: ignore[attr-defined]  # noqa: SLF001  # the proxy's documented way
