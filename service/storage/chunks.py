"""Which worker processes which lines of a batch. The database is authoritative, so no queue can lose anything.

A chunk is to do, being worked on under a lease (`leases.py`), or done. A worker that has claimed one works outside any transaction,
then stores the quotes and marks the chunk done in a single transaction. That requires the claim to be still valid, so if the first
worker's lease lapsed and another took over, only the later one can store anything. A chunk that was started repeatedly without
finishing crashes its workers: it is split into single lines, and a line that keeps crashing them fails.
"""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Connection, Integer, bindparam, cast, exists, func, select

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.lifecycle.events import EventType, batch_data
from service.storage import processes
from service.storage.batches import COMPLETED, FAILED, OPEN, RUNNING, SUCCEEDED
from service.storage.catalogue_editions import Edition
from service.storage.clock import now
from service.storage.database import Database
from service.storage.leases import Clock, HeldLease, Watch
from service.storage.tables import batch_chunks as chunks
from service.storage.tables import batch_lines as lines
from service.storage.tables import batches

MOST_ATTEMPTS = 3
UNHELD = {"state": "todo", "holder": None, "process": None, "renewals": None}


class Todo(NamedTuple):
    """A line to be processed."""

    place: int
    number: int
    rows: tuple[int, ...] | None
    request: bytes | None
    subject: str | None


@dataclass(frozen=True, slots=True)
class Chunk:
    """Lines claimed by one worker. `hopeless`: they crashed their workers too often and must not be started again."""

    batch_id: str
    first: int
    count: int
    holder: str
    kind: str
    edition: Edition
    columns: tuple[str, ...]
    hopeless: bool
    todo: tuple[Todo, ...]


class Lost(Exception):
    """The chunk has been taken over or cancelled; none of this work may be stored."""


class Chunks:
    """The chunks in one database, for one process that claims them and watches the others' claims. `lease` in seconds; `clock` is
    monotonic.
    """

    def __init__(self, database: Database, lease: float, clock: Clock = time.monotonic) -> None:
        self._database, self.lease = database, lease
        self._watch = Watch(lease, clock)

    def claim(self) -> Chunk | None:
        """Claim the next chunk, from the batch that has waited longest; None if there is nothing to do."""
        self._free()
        with self._database.reading() as connection:
            if connection.execute(_DUE).first() is None:
                return None
        with self._database.writing() as connection:
            found = self._next(connection)
            if found is None:
                return None
            if found.attempts >= MOST_ATTEMPTS and found.count > 1:
                found = _split(connection, found)
            return self._taken(connection, found)

    def _free(self) -> None:
        """Make abandoned chunks available again, unless their worker has meanwhile shown a sign of life."""
        for each in self._watch.abandoned(self._held):
            key = dict(zip(("of", "at", "mine", "seen"), (*each.what, *each.mark), strict=True))
            with self._database.writing() as connection:
                if connection.execute(_AS_SEEN, key).first() is not None:  # locked if it is being stored at this very moment
                    connection.execute(_FREE, key)

    def _held(self) -> list[HeldLease]:
        with self._database.reading() as connection:
            return [HeldLease((row.batch_id, row.first), (row.holder, row.renewals), row.process) for row in connection.execute(_WORKING)]

    def _next(self, connection: Connection) -> Any:
        for batch_id in connection.execute(_WAITING).scalars().all():
            found = connection.execute(_UNBEGUN, {"of": batch_id}).first()
            if found is not None:
                return found
        return None

    def _taken(self, connection: Connection, found: Any) -> Chunk:
        holder, key = secrets.token_hex(16), {"of": found.batch_id, "at": found.first}
        connection.execute(_TAKE, {**key, "mine": holder, "by": processes.this_process()})
        connection.execute(_RUN, {"of": found.batch_id, "now": now(connection)})
        batch = connection.execute(_BATCH, {"of": found.batch_id}).one()
        rows = connection.execute(_LINES, {**key, "end": found.first + found.count}).all()
        edition = Edition(batch.catalogue_version, batch.price_version)
        columns = tuple(json.read(batch.columns.encode())) if batch.columns else ()
        todo = tuple(
            Todo(
                row.place,
                row.number,
                tuple(json.read(row.rows.encode())) if row.rows else None,
                row.request and unpack(row.request),
                row.subject,
            )
            for row in rows
        )
        return Chunk(found.batch_id, found.first, found.count, holder, batch.kind, edition, columns, found.attempts >= MOST_ATTEMPTS, todo)

    def renew(self, chunk: Chunk) -> None:
        """Extend the claim by another lease. Raises Lost."""
        with self._database.writing() as connection:
            _still(connection.execute(_RENEW, _key(chunk)).rowcount)

    def give_back(self, chunk: Chunk) -> None:
        """Release the chunk without counting the attempt: its failure was not the lines' fault."""
        with self._database.writing() as connection:
            connection.execute(_GIVE_BACK, _key(chunk))

    @contextmanager
    def keeping(self, chunk: Chunk) -> Iterator[Callable[[int, str | None, bytes], None]]:
        """One transaction for all the results of a chunk and its completion. Yields a function that records the outcome of the line at
        a place: the quote's id, or None if it failed, and what to report, as JSON. Raises Lost.
        """
        with self._database.together(), self._database.writing() as connection:
            _still(connection.execute(_RENEW, _key(chunk)).rowcount)
            told: list[dict[str, object]] = []

            def store_outcome(place: int, quote_id: str | None, outcome: bytes) -> None:
                values = {"made": quote_id, "how": SUCCEEDED if quote_id else FAILED, "what": pack(outcome)}
                told.append({"of": chunk.batch_id, "at": place, **values})

            yield store_outcome
            if told:
                connection.execute(_OUTCOME, told)
            key = {"of": chunk.batch_id, "at": chunk.first, "end": chunk.first + chunk.count}
            counts: dict[str | None, int] = {row.outcome: row.many for row in connection.execute(_COUNT, key)}
            moment = now(connection)
            connection.execute(_END, {**_key(chunk), "good": counts.get(SUCCEEDED, 0), "bad": counts.get(FAILED, 0), "now": moment})
            self._finish(connection, chunk.batch_id, moment)

    def finish_all(self) -> None:
        """Complete batches that have nothing left to do: two workers finishing the last chunks at once do not see each other's."""
        with self._database.reading() as connection:
            found = connection.execute(_FINISHED).scalars().all()
        for each in found:
            with self._database.writing() as connection:
                self._finish(connection, each, now(connection))

    def _finish(self, connection: Connection, batch_id: str, moment: float) -> None:
        if connection.execute(_FINISH, {"of": batch_id, "now": moment}).rowcount:
            self._database.listeners.notify(
                connection, EventType.BATCH_COMPLETED, lambda: batch_data(batch_id, *connection.execute(_CAME, {"of": batch_id}).one())
            )


def _key(chunk: Chunk) -> dict[str, object]:
    return {"of": chunk.batch_id, "at": chunk.first, "mine": chunk.holder}


def _still(rows: int) -> None:
    if rows != 1:
        raise Lost


def _split(connection: Connection, found: Any) -> Any:
    """Replace a chunk by single lines; returns the first of them."""
    connection.execute(_SHRINK, {"of": found.batch_id, "at": found.first})
    row = {"batch_id": found.batch_id, "count": 1, "state": "todo", "attempts": 0, "succeeded": 0, "failed": 0}
    connection.execute(chunks.insert(), [{**row, "first": place} for place in range(found.first + 1, found.first + found.count)])
    return connection.execute(_UNBEGUN, {"of": found.batch_id}).one()


_OF: Any = bindparam("of")
_AT: Any = bindparam("at")
_NOW: Any = bindparam("now")
_WHICH = [chunks.c.batch_id, chunks.c.first, chunks.c.count, chunks.c.attempts]
_DUE = (
    select(chunks.c.first)
    .where(chunks.c.state == "todo", chunks.c.batch_id.in_(select(batches.c.id).where(batches.c.state.in_(OPEN))))
    .limit(1)
)
_WORKING = select(*(chunks.c[name] for name in ("batch_id", "first", "holder", "renewals", "process"))).where(chunks.c.state == "working")
_WAITING = select(batches.c.id).where(batches.c.state.in_(OPEN)).order_by(batches.c.touched)
_UNBEGUN = (
    select(*_WHICH)
    .where(chunks.c.state == "todo", chunks.c.batch_id == _OF)
    .order_by(chunks.c.first)
    .limit(1)
    .with_for_update(skip_locked=True)
)
_THIS = (chunks.c.batch_id == _OF, chunks.c.first == _AT)
_MINE = (*_THIS, chunks.c.state == "working", chunks.c.holder == bindparam("mine"))
_TAKE = chunks.update().where(*_THIS).values(
    state="working", holder=bindparam("mine"), process=bindparam("by"), renewals=0, attempts=chunks.c.attempts + 1
)  # fmt: skip
_RUN = batches.update().where(batches.c.id == _OF).values(state=RUNNING, touched=_NOW, begun=func.coalesce(batches.c.begun, _NOW))
_BATCH = select(batches.c.kind, batches.c.catalogue_version, batches.c.price_version, batches.c.columns).where(batches.c.id == _OF)
_LINES = (
    select(lines.c.place, lines.c.number, lines.c.rows, lines.c.request, lines.c.subject)
    .where(lines.c.batch_id == _OF, lines.c.place >= _AT, lines.c.place < bindparam("end"), lines.c.outcome.is_(None))
    .order_by(lines.c.place)
)
_RENEW = chunks.update().where(*_MINE).values(renewals=chunks.c.renewals + 1)
_GIVE_BACK = chunks.update().where(*_MINE).values(**UNHELD, attempts=chunks.c.attempts - 1)
_AS_SEEN = select(chunks.c.first).where(*_MINE, chunks.c.renewals.is_not_distinct_from(bindparam("seen"))).with_for_update(skip_locked=True)
_FREE = chunks.update().where(*_MINE).values(UNHELD)
_SHRINK = chunks.update().where(*_THIS).values(**UNHELD, count=1, attempts=0)
_OUTCOME = (
    lines.update()
    .where(lines.c.batch_id == _OF, lines.c.place == _AT, lines.c.outcome.is_(None))
    .values(outcome=bindparam("how"), quote_id=bindparam("made"), said=bindparam("what"), request=None)
)
_COUNT = (
    select(lines.c.outcome, func.count().label("many"))
    .where(lines.c.batch_id == _OF, lines.c.place >= _AT, lines.c.place < bindparam("end"))
    .group_by(lines.c.outcome)
)
_END = chunks.update().where(*_MINE).values(
    state="done", holder=None, process=None, renewals=None, ended=_NOW, succeeded=bindparam("good"), failed=bindparam("bad")
)  # fmt: skip
_CAME = (
    select(batches.c.total, cast(func.sum(chunks.c.succeeded), Integer), cast(func.sum(chunks.c.failed), Integer))
    .join(chunks, chunks.c.batch_id == batches.c.id)
    .where(batches.c.id == _OF)
    .group_by(batches.c.total)
)
_LEFT = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state.in_(("todo", "working")))
_FINISHED = select(batches.c.id).where(batches.c.state == RUNNING, ~_LEFT)
_FINISH = batches.update().where(batches.c.id == _OF, batches.c.state == RUNNING, ~_LEFT).values(state=COMPLETED, ended=_NOW)
