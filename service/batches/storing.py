"""Stores a source's lines as a batch, in many small transactions; processing starts only when it is complete."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from itertools import islice

from sqlalchemy.exc import SQLAlchemyError

from service.batches.sources import Source
from service.http import problems
from service.http.problems import Problem, fault
from service.storage import Batches, Edition, Line, Progress
from service.storage.database import Database

AT_ONCE = 500  # lines per transaction
REPEATED = problems.document(
    422, "An earlier line has this `custom_id`.",
    [fault("#/custom_id", "duplicate_line", "give each line a `custom_id` of its own, and keep the rows of a boat together")],
)  # fmt: skip


def stored(database: Database, kind: str, source: Source, edition: Edition, most: int) -> Progress:
    """Store the lines of a source. Raises Problem: 413 above `most` lines, 422 without any."""
    batches = Batches(database)
    with database.apart():
        batch_id = batches.open(kind, source.name, edition)
        try:
            total = _add_all(batches, batch_id, source.lines, most)
            batches.refuse_repeated(batch_id, REPEATED)
        except BaseException:
            _drop(batches, batch_id)
            raise
    return batches.mark_received(batch_id, total, source.columns)


def _add_all(batches: Batches, batch_id: str, lines: Iterator[Line], most: int) -> int:
    total = 0
    while found := list(islice(lines, AT_ONCE)):
        batches.add(batch_id, total, found)
        total += len(found)
        if total > most:
            raise Problem(413, f"A batch has at most {most} lines: send this one as several batches.")
    if not total:
        raise Problem(422, "The body has no lines.", [fault("#", "no_lines", "send at least one request")])
    return total


def _drop(batches: Batches, batch_id: str) -> None:
    with suppress(SQLAlchemyError):  # it is deleted later, like a batch whose upload broke off
        batches.drop(batch_id)
