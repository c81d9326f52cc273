"""Receiving a batch: the body is spooled to an unnamed temporary file, then stored line by line."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from typing import IO, cast

from flask import Response, after_this_request, g, request

from service.batches.sources import SOURCES, Source
from service.batches.storing import stored
from service.http.bodies import announced_length, arriving, refuse_coding
from service.http.current import engine, store
from service.http.current import settings as the_settings
from service.http.problems import Problem, wrong_type
from service.http.too_large import too_large
from service.storage import Line, Progress

BLOCK = 65_536


def spooled() -> IO[bytes]:
    """The body of the current request, in a file. Raises Problem as `read_body` does, but with the limits of batches; 503 if there is
    no room.
    """
    if "spool" not in g:
        g.spool = _spooled()
        after_this_request(_let_go)
    found = cast("IO[bytes]", g.spool)
    found.seek(0)
    return found


def _let_go(response: Response) -> Response:
    g.spool.close()
    return response


def spooled_blocks() -> Iterator[bytes]:
    """The spooled body in blocks."""
    file = spooled()
    while block := file.read(BLOCK):
        yield block


def _spooled() -> IO[bytes]:
    if request.mimetype not in SOURCES:
        accepted = ", ".join(SOURCES)
        raise wrong_type(f"Send a batch as one of {accepted}.", accepted)
    refuse_coding()
    length, most = announced_length(), the_settings().max_batch_mb * 1_000_000
    if length > most:
        raise too_large(length, most)
    file = tempfile.TemporaryFile(prefix="batch-")  # noqa: SIM115  # kept for the request, closed with it
    try:
        for piece in arriving(length):
            _keep(file, piece)
        _keep(file, b"")
    except Problem:
        file.close()
        raise
    return file


def _keep(file: IO[bytes], piece: bytes) -> None:
    try:
        file.write(piece) if piece else file.flush()
    except OSError as error:
        raise Problem(
            503,
            "The server has no disk space to receive the body. Nothing was stored: send a smaller batch, or free space on the server.",
        ) from error


def received() -> Progress:
    """Store the spooled body as a batch, to be processed once the request's transaction is committed. Raises Problem."""
    file = spooled()
    source = SOURCES[request.mimetype](file, the_settings().max_body_bytes)
    return stored(store(), "quotes", source, engine().key, the_settings().max_batch_lines)


def received_alone(body: bytes) -> Progress:
    """Store a single request, already validated, as a batch of one."""
    return stored(store(), "quotes", Source("json", iter([Line(1, None, body)])), engine().key, 1)
