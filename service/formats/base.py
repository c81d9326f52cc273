"""A document in one of its formats: how it is rendered, and which response headers it needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from flask import Response

from service.computing.asking import made_of
from service.formats.replies import PAGE_POLICY, Form, reply_form
from service.storage import Stored


class Served(NamedTuple):
    """A format with its renderer. `make` renders the document; it is defined at module level, so that it can be pickled by name.

    `says` describes it in the gallery. `styles` returns the hashes of a page's own styles, for its Content-Security-Policy,
    which is `policy`.
    """

    form: Form
    make: Callable[..., bytes]
    styles: Callable[[], str] | None = None
    says: str = ""
    policy: str = PAGE_POLICY


def serve(
    served: Served, stored: Stored, of: str, name: str, given: Callable[[], tuple[Any, ...]], headers: Mapping[str, str] | None = None
) -> Response:
    """Respond with the document. `of` identifies what it is made from; `given` returns the renderer's arguments and is only called if
    it has to be rendered.
    """
    all_headers = dict(headers or {})
    if served.styles is not None:
        all_headers["Content-Security-Policy"] = served.policy.format(styles=served.styles())
    return reply_form(served.form, lambda: made_of(stored, served.make, *given()), of, name, all_headers)
