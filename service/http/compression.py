"""Compresses responses that are made for a single request: gzip, if the client accepts it and the body is large enough to benefit.

Documents of a stored quote are compressed where they are made (`reply_coded`, `reply_form`), since each content coding needs an entity tag
of its own. The views marked here need none: the entity tag of a quote just made or changed names the quote's state, in either coding.

Only the responses of marked views are compressed. An attacker who can place text beside a secret in a compressed response, and see its
length, can guess the secret (BREACH). A quote and a page of the form contain only what their sender sent and what follows from it; none
of these views uses a cookie, so no other page can request them with somebody's key. A customer's link is sent in a header, which is not
compressed. Views with a token in the response body (`/v1/quotes/{id}/links`) are never marked.

The level is ISA-L's lowest. A preview of the demo boat of twelve assemblies takes 10 ms and is 133 kB long: level 1 compresses it to 18.5 kB
in 0.08 ms, ISA-L's highest level to 16.1 kB in 0.3 ms, zlib's levels 1 to 6 to between 19.2 and 12.5 kB in 0.6 to 1.4 ms, a seventh of the
total. A client that counts bytes requests the summary: 2.1 kB at level 1, 1.9 kB with zlib at 6. `tests/benchmarks/packed_previews.py`
measures this.

Rejected: flask-compress 1.25, which marks the coding in entity tags in its own way, which `If-Match` would have to learn, supports only zlib
for gzip, and depends on brotli and zstandard; and a compressing proxy, which the one-command start does not have.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import Flask, Response

from service.encoding.gzip import pack
from service.http.responses import takes_gzip, vary
from service.http.unproxied import current_request

SMALL = 1_000  # bytes; a smaller body fits into about one network packet (1,500 bytes) with its headers, compressed or not
View = TypeVar("View", bound=Callable[..., Any])


def compressed(view: View) -> View:
    """Mark a view whose successful responses are compressed; the module's docstring says which views qualify."""
    view.compressed = True  # type: ignore[attr-defined]  # read by `install`
    return view


def install(app: Flask) -> None:
    """Compress the responses of marked views."""

    @app.after_request
    def compress(response: Response) -> Response:
        endpoint = current_request().endpoint
        marked = endpoint is not None and getattr(app.view_functions[endpoint], "compressed", False)
        if not marked or response.status_code not in (200, 201) or response.is_streamed:
            return response
        vary(response, "Accept-Encoding")
        if (response.content_length or 0) >= SMALL and takes_gzip():
            response.set_data(pack(response.get_data()))
            response.headers["Content-Encoding"] = "gzip"
        return response
