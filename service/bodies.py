"""Reading a request's body: what is refused before a byte of it is read, and what when it is no JSON."""

from __future__ import annotations

import time
from http import HTTPStatus
from typing import Any, cast

from flask import Flask, Response, current_app, g, request
from werkzeug.exceptions import ClientDisconnected

from service import json
from service.problems import Problem, fault, respond

ACCEPTED = "application/json"
SMALL = 65_536  # the server below discards that much by itself
MOST_DISCARDED = 16_000_000
DISCARD_SECONDS = 5.0


def install(app: Flask) -> None:
    """Let a client that is still sending hear its refusal: what it sends is thrown away up to a limit, beyond it the connection ends.

    For who has no key no thread waits at all.
    """

    @app.errorhandler(ClientDisconnected)
    def stopped(error: ClientDisconnected) -> Response:
        """The server gave up waiting for the next piece of a body, or the client left."""
        status = 408 if isinstance(error.__context__, TimeoutError) else 400
        words = "The body stopped arriving before the end that Content-Length announces: send the request again."
        return respond(Problem(status, words, headers={"Connection": "close"}))

    @app.after_request
    def discard(response: Response) -> Response:
        length = request.content_length or 0
        if length > MOST_DISCARDED or (length > SMALL and response.status_code == HTTPStatus.UNAUTHORIZED):
            response.headers["Connection"] = "close"
        elif length > SMALL:
            _throw_away(response)
        return response


def _throw_away(response: Response) -> None:
    """What the client still sends, as long as it sends it quickly."""
    until = time.monotonic() + DISCARD_SECONDS
    try:
        while request.stream.read(SMALL):
            if time.monotonic() > until:
                response.headers["Connection"] = "close"
                return
    except ClientDisconnected:
        response.headers["Connection"] = "close"


def read_body() -> bytes:
    """The body of the request at hand. Raises Problem: 415 for another type, charset or coding, 411 without a length, 413 above the limit."""
    if "body" not in g:
        g.body = _body()
    return cast("bytes", g.body)


def _body() -> bytes:
    _refuse_other_types()
    refuse_coding()
    length = announced_length()
    most: int = current_app.extensions["settings"].max_body
    if length > most:
        raise Problem(413, f"The body has {length} bytes; at most {most} are accepted: send fewer assemblies at once.")
    body = request.get_data(cache=False)
    if len(body) < length:
        raise Problem(400, f"The body ended after {len(body)} of the {length} bytes that Content-Length announces.")
    return body


def refuse_coding() -> None:
    """Raises Problem (415) for a body that is packed."""
    coding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if coding != "identity":
        raise Problem(415, f"A body coded as {coding[:40]!r} is not accepted: send it uncoded.", headers={"Accept-Encoding": "identity"})


def announced_length() -> int:
    """`Content-Length`. Raises Problem (411) without one."""
    if request.content_length is None:
        raise Problem(411, "Send Content-Length with the body; a body in chunks is not accepted.")
    return request.content_length


def _refuse_other_types() -> None:
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != ACCEPTED:
        raise Problem(415, f"Send the body as {ACCEPTED}.", headers={"Accept": ACCEPTED})
    if charset not in ("utf-8", "utf8"):
        raise Problem(415, f"The charset {charset[:40]!r} is not accepted: send UTF-8.", headers={"Accept": ACCEPTED})


def decoded(body: bytes) -> Any:
    """The JSON value of a body. Raises Problem (400) with line and column."""
    try:
        return json.read(body)
    except json.NotJson as failure:
        place = {**fault("#", failure.code, failure.detail), **failure.place}
        raise Problem(400, f"The body is not JSON that can be read: {failure.detail}.", [place]) from None
