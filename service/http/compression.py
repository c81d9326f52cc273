"""Compression of replies that are made for one request: gzip, if the client takes it and the body is large enough to gain by it.

Documents of a stored quote are compressed where they are made (`reply_coded`, `reply_form`), since each coding has an entity tag of its own.
A view marked here has none of its bytes: the tag of a quote just made or changed names the quote's state, in either coding.

Only what is marked is compressed. Whoever can put text of their own beside a secret in a compressed reply, and see its length, can guess
the secret (BREACH). A quote and a page of the form hold what their sender sent and what follows from it; nobody is recognised by a cookie,
so no other page can have them made with somebody's key. A customer's link stands in a header, which is not compressed. Replies with a
token in their body (`/v1/quotes/{id}/links`) are never marked.

The level is ISA-L's first. A preview of the demo boat of twelve assemblies takes 10 ms and has 133 kB: level 1 makes 18.5 kB of it in
0.08 ms, ISA-L's highest 16.1 kB in 0.3 ms, zlib's levels 1 to 6 between 19.2 and 12.5 kB in 0.6 to 1.4 ms, a seventh of the whole. Who counts
bytes asks for the summary: 2.1 kB at level 1, 1.9 kB at zlib's 6. `tests/benchmarks/packed_previews.py` measures it again.

Refused: flask-compress 1.25, which names a coding in entity tags in a way of its own that `If-Match` would have to learn, compresses with zlib
alone, and brings brotli and zstandard. Refused, too: a server in front that compresses, which the start of one command does not have.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import Flask, Response

from service.encoding.gzip import pack
from service.http.behind import the_request
from service.http.responses import takes_gzip, vary

SMALL = 1_000  # bytes: below, it goes into one packet of a network (1,500 bytes) with its headers or nearly so, compressed or not
View = TypeVar("View", bound=Callable[..., Any])


def compressed(view: View) -> View:
    """Mark a view whose successful replies are compressed; see above for which may be."""
    view.compressed = True  # type: ignore[attr-defined]  # read by `install`
    return view


def install(app: Flask) -> None:
    """Compress the replies of marked views."""

    @app.after_request
    def compress(response: Response) -> Response:
        endpoint = the_request().endpoint
        marked = endpoint is not None and getattr(app.view_functions[endpoint], "compressed", False)
        if not marked or response.status_code not in (200, 201) or response.is_streamed:
            return response
        vary(response, "Accept-Encoding")
        if (response.content_length or 0) >= SMALL and takes_gzip():
            response.set_data(pack(response.get_data()))
            response.headers["Content-Encoding"] = "gzip"
        return response
