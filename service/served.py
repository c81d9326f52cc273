"""A document in one of its forms: how it is made, and what its reply has to say beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from flask import Response

from service.forms import PAGE_POLICY, PDF, Form, reply_form
from service.pdf_forms import reply_pdf
from service.storage import Stored


class Served(NamedTuple):
    """A form with its maker. `make` writes the document; for a PDF the page that is printed, and `kept_as` names it in the database.

    `styles` tells the hashes of a page's own styles, for its Content-Security-Policy.
    """

    form: Form
    make: Callable[..., bytes]
    kept_as: str = ""
    styles: Callable[[], str] | None = None


def serve(
    served: Served, stored: Stored, of: str, name: str, given: Callable[[], tuple[Any, ...]], headers: Mapping[str, str] | None = None
) -> Response:
    """Reply with the document; `of` tells what it is made from, `given` what its maker takes, asked for only where it has to be made."""
    said = dict(headers or {})
    if served.form is PDF:
        return reply_pdf(stored, served.kept_as, of, lambda: served.make(*given()), name, said)
    if served.styles is not None:
        said["Content-Security-Policy"] = PAGE_POLICY.format(styles=served.styles())
    return reply_form(served.form, lambda: served.make(*given()), of, name, said)
