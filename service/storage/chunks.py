"""Who works on which lines of a batch: the truth that no queue can lose.

A chunk is to do, or worked on under a lease, or done. Whoever claims it works on it outside any transaction and then keeps its quotes and its end in
one; that asks for the claim, so of two who hold one chunk, since the lease of the first had lapsed, the later alone can keep anything. A chunk
that was begun often without an end kills its workers: it is split into single lines, and a line that goes on killing them fails.
"""

from __future__ import annotations

import gzip
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Connection, Integer, bindparam, cast, exists, func, or_, select

from service import json
from service.hooks.events import Event, batch_data
from service.storage.batches import DONE, FAILED, OPEN, QUOTED, RUNNING
from service.storage.database import Database
from service.storage.editions import Edition
from service.storage.tables import batch_chunks as chunks
from service.storage.tables import batch_lines as lines
from service.storage.tables import batches

MOST_ATTEMPTS = 3


class Todo(NamedTuple):
    """A line to be worked on."""

    place: int
    number: int
    rows: tuple[int, ...] | None
    request: bytes | None
    subject: str | None


@dataclass(frozen=True, slots=True)
class Chunk:
    """Lines that one worker holds. `hopeless`: they ended their workers too often and must not be begun again."""

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
    """The chunk is another's by now, or cancelled; nothing of this work may be kept."""


class Chunks:
    """The chunks of one database. `clock`: seconds since 1970, of machines that agree on the time to a second."""

    def __init__(self, database: Database, lease: float, clock: Callable[[], float] = time.time) -> None:
        self._database, self.lease, self._clock = database, lease, clock

    def due(self) -> bool:
        """Whether something is to do that nobody holds."""
        with self._database.reading() as connection:
            return connection.execute(_DUE, {"now": self._clock()}).first() is not None

    def claim(self) -> Chunk | None:
        """The next chunk, of the batch that waited longest; None where nothing is to do."""
        if not self.due():
            return None
        with self._database.writing() as connection:
            found = self._next(connection)
            if found is None:
                return None
            if found.attempts >= MOST_ATTEMPTS and found.count > 1:
                found = _split(connection, found)
            return self._taken(connection, found)

    def _next(self, connection: Connection) -> Any:
        lapsed = connection.execute(_LAPSED, {"now": self._clock()}).first()
        if lapsed is not None:
            return lapsed
        for batch_id in connection.execute(_WAITING).scalars().all():
            found = connection.execute(_UNBEGUN, {"of": batch_id}).first()
            if found is not None:
                return found
        return None

    def _taken(self, connection: Connection, found: Any) -> Chunk:
        now, holder, key = self._clock(), secrets.token_hex(16), {"of": found.batch_id, "at": found.first}
        connection.execute(_TAKE, {**key, "mine": holder, "lapse": now + self.lease})
        connection.execute(_RUN, {"of": found.batch_id, "now": now})
        batch = connection.execute(_BATCH, {"of": found.batch_id}).one()
        rows = connection.execute(_LINES, {**key, "end": found.first + found.count}).all()
        edition = Edition(batch.catalogue_version, batch.price_version)
        columns = tuple(json.read(batch.columns.encode())) if batch.columns else ()
        todo = tuple(
            Todo(
                row.place,
                row.number,
                tuple(json.read(row.rows.encode())) if row.rows else None,
                row.request and gzip.decompress(row.request),
                row.subject,
            )
            for row in rows
        )
        return Chunk(found.batch_id, found.first, found.count, holder, batch.kind, edition, columns, found.attempts >= MOST_ATTEMPTS, todo)

    def renew(self, chunk: Chunk) -> None:
        """Hold it for another lease. Raises Lost."""
        with self._database.writing() as connection:
            _held(connection.execute(_RENEW, {**_key(chunk), "lapse": self._clock() + self.lease}).rowcount)

    def give_back(self, chunk: Chunk) -> None:
        """It was not the lines' fault that nothing came of it."""
        with self._database.writing() as connection:
            connection.execute(_GIVE_BACK, _key(chunk))

    @contextmanager
    def keeping(self, chunk: Chunk) -> Iterator[Callable[[int, str | None, bytes], None]]:
        """One transaction for everything that comes of a chunk, and its end. Yields how to tell the outcome of the line at a place: the quote's
        id, or None where it failed, and what is said of it, as JSON. Raises Lost."""
        with self._database.together(), self._database.writing() as connection:
            _held(connection.execute(_HOLD, _key(chunk)).rowcount)
            told: list[dict[str, object]] = []

            def tell(place: int, quote_id: str | None, said: bytes) -> None:
                values = {"made": quote_id, "how": QUOTED if quote_id else FAILED, "what": gzip.compress(said, 1)}
                told.append({"of": chunk.batch_id, "at": place, **values})

            yield tell
            if told:
                connection.execute(_OUTCOME, told)
            key = {"of": chunk.batch_id, "at": chunk.first, "end": chunk.first + chunk.count}
            counts: dict[str | None, int] = {row.outcome: row.many for row in connection.execute(_COUNT, key)}
            now = self._clock()
            connection.execute(_END, {**_key(chunk), "good": counts.get(QUOTED, 0), "bad": counts.get(FAILED, 0), "now": now})
            self._finish(connection, chunk.batch_id, now)

    def finish_all(self) -> None:
        """End the batches of which nothing is left: two workers that end its last chunks at once do not see each other's."""
        with self._database.reading() as connection:
            found = connection.execute(_FINISHED).scalars().all()
        for each in found:
            with self._database.writing() as connection:
                self._finish(connection, each, self._clock())

    def _finish(self, connection: Connection, batch_id: str, now: float) -> None:
        if connection.execute(_FINISH, {"of": batch_id, "now": now}).rowcount:
            self._database.listeners.tell(
                connection, Event.BATCH_DONE, lambda: batch_data(batch_id, *connection.execute(_CAME, {"of": batch_id}).one())
            )


def _key(chunk: Chunk) -> dict[str, object]:
    return {"of": chunk.batch_id, "at": chunk.first, "mine": chunk.holder}


def _held(rows: int) -> None:
    if rows != 1:
        raise Lost


def _split(connection: Connection, found: Any) -> Any:
    """Single lines in place of a chunk; the first of them."""
    connection.execute(_SHRINK, {"of": found.batch_id, "at": found.first})
    row = {"batch_id": found.batch_id, "count": 1, "state": "todo", "attempts": 0, "done": 0, "failed": 0}
    connection.execute(chunks.insert(), [{**row, "first": place} for place in range(found.first + 1, found.first + found.count)])
    return connection.execute(_UNBEGUN, {"of": found.batch_id}).one()


_OF: Any = bindparam("of")
_AT: Any = bindparam("at")
_NOW: Any = bindparam("now")
_FREE = or_(chunks.c.state == "todo", (chunks.c.state == "working") & (chunks.c.until <= _NOW))
_WHICH = [chunks.c.batch_id, chunks.c.first, chunks.c.count, chunks.c.attempts]
_DUE = select(chunks.c.first).where(_FREE, chunks.c.batch_id.in_(select(batches.c.id).where(batches.c.state.in_(OPEN)))).limit(1)
_LAPSED = select(*_WHICH).where(chunks.c.state == "working", chunks.c.until <= _NOW).limit(1).with_for_update(skip_locked=True)
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
    state="working", holder=bindparam("mine"), until=bindparam("lapse"), attempts=chunks.c.attempts + 1
)  # fmt: skip
_RUN = batches.update().where(batches.c.id == _OF).values(state=RUNNING, touched=_NOW, begun=func.coalesce(batches.c.begun, _NOW))
_BATCH = select(batches.c.kind, batches.c.catalogue_version, batches.c.price_version, batches.c.columns).where(batches.c.id == _OF)
_LINES = (
    select(lines.c.place, lines.c.number, lines.c.rows, lines.c.request, lines.c.subject)
    .where(lines.c.batch_id == _OF, lines.c.place >= _AT, lines.c.place < bindparam("end"), lines.c.outcome.is_(None))
    .order_by(lines.c.place)
)
_RENEW = chunks.update().where(*_MINE).values(until=bindparam("lapse"))
_HOLD = chunks.update().where(*_MINE).values(until=chunks.c.until)
_GIVE_BACK = chunks.update().where(*_MINE).values(state="todo", holder=None, until=None, attempts=chunks.c.attempts - 1)
_SHRINK = chunks.update().where(*_THIS).values(count=1, state="todo", holder=None, until=None, attempts=0)
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
    state="done", holder=None, until=None, ended=_NOW, done=bindparam("good"), failed=bindparam("bad")
)  # fmt: skip
_CAME = (
    select(batches.c.total, cast(func.sum(chunks.c.done), Integer), cast(func.sum(chunks.c.failed), Integer))
    .join(chunks, chunks.c.batch_id == batches.c.id)
    .where(batches.c.id == _OF)
    .group_by(batches.c.total)
)
_LEFT = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state.in_(("todo", "working")))
_FINISHED = select(batches.c.id).where(batches.c.state == RUNNING, ~_LEFT)
_FINISH = batches.update().where(batches.c.id == _OF, batches.c.state == RUNNING, ~_LEFT).values(state=DONE, ended=_NOW)
