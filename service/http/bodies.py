"""Reads request bodies. Some are refused before any of the body is read, others because they are not valid JSON."""

from __future__ import annotations

import threading
import time
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from typing import Any, cast

from flask import Flask, Response, current_app, g, request

from service.encoding import json
from service.http.caller import caller
from service.http.current import settings
from service.http.problems import Problem, fault, header_fault, wrong_type
from service.http.too_large import too_large
from service.http.unproxied import current_request

ACCEPTED = "application/json"
SMALL = 65_536  # the server underneath discards this much by itself
MOST_DISCARDED = 16_000_000
DISCARD_SECONDS = 5.0
PATIENCE_SECONDS, LEAST_PACE = 30.0, 50_000
Places = threading.BoundedSemaphore


def install(app: Flask) -> None:
    """Let a client that is still sending receive its refusal: the rest of the body is discarded up to a limit, beyond which the
    connection is closed.

    A thread reading a large body waits for its client, so only a quarter of the threads may do so at a time, and none does so for a
    client without a key.
    """
    app.extensions["places"] = Places(max(app.extensions["settings"].threads // 4, 1))

    @app.after_request
    def discard(response: Response) -> Response:
        length = current_request().content_length or 0
        if length <= SMALL:
            return response
        worth = length <= MOST_DISCARDED and caller() is not None and "stopped" not in g
        if not (worth and _thrown_away()):
            response.headers["Connection"] = "close"
        return response


def allowed(length: int) -> float:
    """Seconds that a large body of this many bytes may take to arrive."""
    return PATIENCE_SECONDS + length / LEAST_PACE


@contextmanager
def _place() -> Iterator[bool]:
    """Yields whether this thread may wait for its client, and counts it meanwhile."""
    places = cast("Places", current_app.extensions["places"])
    had = places.acquire(blocking=False)
    try:
        yield had
    finally:
        if had:
            places.release()


def _thrown_away() -> bool:
    """Discard what the client is still sending; False if it is too slow or no thread may wait for it."""
    until = time.monotonic() + DISCARD_SECONDS
    with _place() as had:
        try:
            while had and request.stream.read(SMALL):
                if time.monotonic() > until:
                    return False
        except OSError:  # raised by the server's own stream, which has a time limit for each read
            return False
        return had


def arriving(length: int) -> Iterator[bytes]:
    """A large body of this many bytes, in pieces. Raises Problem: 400 if it ends early, 408 if it is too slow, 503 if too many are
    arriving.
    """
    left, until = length, time.monotonic() + allowed(length)
    with _place() as had:
        if not had:
            raise Problem(503, "Too many large requests are arriving at once: try again in a moment.", headers={"Retry-After": "10"})
        while left and (piece := _piece(min(SMALL, left))):
            left -= len(piece)
            yield piece
            if left and time.monotonic() > until:
                raise _stopped(408)
    if left and time.monotonic() > until:
        raise _stopped(408)
    if left:
        raise _incomplete(length - left, length)


def _piece(most: int) -> bytes:
    try:
        return request.stream.read(most)
    except TimeoutError:
        raise _stopped(408) from None
    except OSError:
        raise _stopped(400) from None


def _stopped(status: int) -> Problem:
    g.stopped = True
    words = "The request body stopped arriving, or arrived too slowly, before all the bytes that Content-Length announces had arrived: send the request again."
    return Problem(status, words, headers={"Connection": "close"})


def _incomplete(come: int, length: int) -> Problem:
    words = f"The request body ended after {come} of the {length} bytes that Content-Length announces: send the request again."
    return Problem(400, words, [header_fault("Content-Length", "body_incomplete", words)])


def read_body(most: int | None = None) -> bytes:
    """The body of the current request. Raises Problem: 415 for another media type, charset or content coding, 411 without Content-Length,
    413 above the limit for all requests or above `most` bytes.
    """
    if "body" not in g:
        g.body = _body(most)
    return cast("bytes", g.body)


def read_file(accepted: Collection[str]) -> bytes:
    """The body as a file of one of these media types. Raises Problem as `read_body` does; the file itself states its charset."""
    if request.mimetype not in accepted:
        raise wrong_type(f"Send the file as {' or '.join(accepted)}.", ", ".join(accepted))
    return _arrived()


def _body(most: int | None) -> bytes:
    _refuse_other_types()
    return _arrived(most)


def _arrived(own: int | None = None) -> bytes:
    refuse_coding()
    length = announced_length()
    most = settings().max_body_bytes if own is None else min(own, settings().max_body_bytes)
    if length > most:
        raise too_large(length, most)
    body = request.get_data(cache=False)
    if len(body) < length:
        raise _incomplete(len(body), length)
    return body


def refuse_too_large() -> None:
    """Raises Problem: 411 without Content-Length, 413 for a body above the limit for all requests."""
    if announced_length() > settings().max_body_bytes:
        raise too_large(announced_length(), settings().max_body_bytes)


def refuse_coding() -> None:
    """Raises Problem (415) for a body with a content coding, such as gzip."""
    coding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if coding != "identity":
        words = f"The content coding {coding[:40]!r} is not supported: send the body without a content coding."
        raise Problem(415, words, [header_fault("Content-Encoding", "coded_body", words)], {"Accept-Encoding": "identity"})


def announced_length() -> int:
    """The value of `Content-Length`. Raises Problem (411) without one."""
    if request.content_length is None:
        words = "Send Content-Length with the body; chunked transfer coding is not accepted."
        raise Problem(411, words, [header_fault("Content-Length", "length_required", words)])
    return request.content_length


def _refuse_other_types() -> None:
    charset = request.mimetype_params.get("charset", "utf-8").lower()
    if request.mimetype != ACCEPTED:
        raise wrong_type(f"Send the body as {ACCEPTED}.", ACCEPTED)
    if charset not in ("utf-8", "utf8"):
        words = f"The charset {charset[:40]!r} is not accepted: send UTF-8."
        raise Problem(415, words, [header_fault("Content-Type", "wrong_charset", words)], {"Accept": ACCEPTED})


def decoded(body: bytes) -> Any:
    """The JSON value of a body. Raises Problem (400) with line and column."""
    try:
        return json.read(body)
    except json.NotJson as failure:
        place = {**fault("#", failure.code, failure.detail), **failure.place}
        raise Problem(400, f"The body is not valid JSON: {failure.detail}.", [place]) from None
