"""Receiving a batch: the body is spooled to a file of no name, then stored line by line, and only when it is whole does the work begin."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from typing import IO, cast

from flask import Response, after_this_request, g, request
from sqlalchemy.exc import SQLAlchemyError

from service import problems
from service.bodies import announced_length, refuse_coding
from service.jobs.sources import SOURCES, Source
from service.parts import engine, store
from service.parts import settings as the_settings
from service.problems import Problem, fault
from service.storage import Batches, Edition, Line, Progress

BLOCK = 65_536
AT_ONCE = 500  # lines of one transaction while a batch is received
REPEATED = problems.document(
    422, "An earlier line has this name.",
    [fault("#/line", "duplicate_line", "give each line its own name, and keep the rows of a boat together")],
)  # fmt: skip


def spooled() -> IO[bytes]:
    """The body of the request at hand, in a file. Raises Problem as `read_body`, with the limits of batches; 503 where there is no room."""
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
    """The same in blocks."""
    file = spooled()
    while block := file.read(BLOCK):
        yield block


def _spooled() -> IO[bytes]:
    if request.mimetype not in SOURCES:
        accepted = ", ".join(SOURCES)
        raise Problem(415, f"Send a batch as {accepted}.", headers={"Accept": accepted})
    refuse_coding()
    length, most = announced_length(), the_settings().batch_mb * 1_000_000
    if length > most:
        raise Problem(413, f"The body has {length} bytes; at most {most} are accepted: send it in several batches.")
    file = tempfile.TemporaryFile(prefix="batch-")  # noqa: SIM115  # kept for the request, closed with it
    try:
        left = length
        while left and (block := request.stream.read(min(BLOCK, left))):
            file.write(block)
            left -= len(block)
        file.flush()
    except OSError as error:
        file.close()
        raise Problem(503, "The body cannot be kept while it is read: the machine has no room for it. Nothing was stored.") from error
    if left:
        file.close()
        raise Problem(400, f"The body ended after {length - left} of the {length} bytes that Content-Length announces.")
    return file


def received(batches: Batches) -> Progress:
    """Store the spooled body as a batch that is to be worked on once the request's transaction ends. Raises Problem."""
    file = spooled()
    source = SOURCES[request.mimetype](file, the_settings().max_body)
    return stored(batches, "quotes", source, engine().key, the_settings().batch_lines)


def stored(batches: Batches, kind: str, source: Source, edition: Edition, most: int) -> Progress:
    """Store the lines of a source. Raises Problem: 413 above `most` lines, 422 without any."""
    with store().apart():
        batch_id = batches.open(kind, source.name, edition)
        try:
            total = _add_all(batches, batch_id, source.lines, most)
            batches.refuse_repeated(batch_id, REPEATED)
        except BaseException:
            _drop(batches, batch_id)
            raise
    return batches.whole(batch_id, total, source.columns)


def _add_all(batches: Batches, batch_id: str, lines: Iterator[Line], most: int) -> int:
    total = 0
    while found := list(islice(lines, AT_ONCE)):
        batches.add(batch_id, total, found)
        total += len(found)
        if total > most:
            raise Problem(413, f"A batch has at most {most} lines: send this one in several.")
    if not total:
        raise Problem(422, "There is no line in the body.", [fault("#", "no_lines", "send at least one request")])
    return total


def _drop(batches: Batches, batch_id: str) -> None:
    with suppress(SQLAlchemyError):  # it is forgotten later, as one whose receiving broke off
        batches.drop(batch_id)
