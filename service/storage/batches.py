"""Batches of many boats: received line by line, told about, cancelled, read back. Who works on them: `chunks.py`."""

from __future__ import annotations

import gzip
import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Integer, and_, bindparam, case, cast, exists, func, select

from service import json
from service.storage.database import Database
from service.storage.editions import Edition
from service.storage.ids import new_id
from service.storage.records import moment
from service.storage.tables import batch_chunks as chunks
from service.storage.tables import batch_lines as lines
from service.storage.tables import batches

CHUNK = 25  # lines that are worked on, and kept, together
RATE_SECONDS = 30.0  # the rate is that of this latest while
FORSAKEN_SECONDS = 300.0  # a batch that was being received and has not grown for so long will never be whole
MOST_ARCHIVED = 500  # quotations in one archive: a run takes seconds a boat, and not many more documents are kept
QUIET_SECONDS = 30.0  # after so long without a result it is told that something may be wrong
RECEIVING, WAITING, RUNNING, DONE, CANCELLED = "receiving", "waiting", "running", "done", "cancelled"
OPEN = (WAITING, RUNNING)
QUOTED, FAILED = "quoted", "failed"


class Line(NamedTuple):
    """A line as received. `request` is JSON; `problem` says why it was none; `rows` of a sheet; `subject` the quote to be quoted again."""

    number: int
    name: str | None = None
    request: bytes | None = None
    problem: bytes | None = None
    rows: tuple[int, ...] | None = None
    subject: str | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a batch stands. `done` lines are quoted, `failed` are not and never will be; `rate` in lines a second, of late; `stalled` says what to
    look at where nothing comes any more."""

    id: str
    kind: str
    source: str
    state: str
    created: str
    total: int
    done: int
    failed: int
    rate: float
    seconds_left: int | None
    stalled: str | None = None
    overdue: bool = False  # there is something to do and nobody does it

    @property
    def ended(self) -> bool:
        """Whether nothing will change any more."""
        return self.state in (DONE, CANCELLED)

    def document(self) -> dict[str, Any]:
        """As it is answered."""
        found = {name: getattr(self, name) for name in self.__dataclass_fields__ if name != "overdue"}
        at = f"/v1/batches/{self.id}"
        archived = self.ended and 0 < self.done <= MOST_ARCHIVED
        return {
            **found, "href": at, "events": f"{at}/events", "results": f"{at}/results", "summary": f"{at}/summary",
            "quotations": f"{at}/quotations" if archived else None,
        }  # fmt: skip


class Outcome(NamedTuple):
    """A line with what became of it; `said` is the quote's head or the problem, as JSON."""

    place: int
    name: str | None
    number: int
    outcome: str | None
    quote_id: str | None
    said: bytes | None


class NotCancelled(Exception):
    """The batch is done: nothing is left to cancel."""


class Batches:
    """The batches of one database. `clock`: seconds since 1970."""

    def __init__(self, database: Database, clock: Callable[[], float] = time.time) -> None:
        self._database, self._clock = database, clock

    def open(self, kind: str, source: str, edition: Edition) -> str:
        """A new batch that is being received; its id."""
        row = {
            "id": new_id(), "kind": kind, "source": source, "state": RECEIVING, "created": moment(), "total": 0,
            "catalogue_version": edition.catalogue, "price_version": edition.prices, "touched": self._clock(),
        }  # fmt: skip
        with self._database.writing() as connection:
            connection.execute(batches.insert(), [row])
        return str(row["id"])

    def add(self, batch_id: str, first: int, found: Sequence[Line]) -> None:
        """Lines that follow each other, from place `first` on, a multiple of CHUNK."""
        of = {"batch_id": batch_id}
        parts = [
            {**of, "first": first + at, "count": min(CHUNK, len(found) - at), "state": "todo", "attempts": 0, "done": 0, "failed": 0}
            for at in range(0, len(found), CHUNK)
        ]
        rows = [{**of, "place": first + at, **_row(line)} for at, line in enumerate(found)]
        with self._database.writing() as connection:
            connection.execute(lines.insert(), rows)
            connection.execute(chunks.insert(), parts)
            connection.execute(_TOUCH, {"of": batch_id, "now": self._clock()})

    def refuse_repeated(self, batch_id: str, problem: bytes) -> None:
        """Fail, with this problem, every line whose name an earlier one has."""
        with self._database.writing() as connection:
            connection.execute(_REPEATED, {"of": batch_id, "why": gzip.compress(problem, 1)})

    def whole(self, batch_id: str, total: int, columns: Sequence[str] | None = None) -> Progress:
        """Everything is received: let the work begin."""
        said = None if columns is None else json.write(list(columns)).decode()
        with self._database.writing() as connection:
            connection.execute(_WHOLE, {"of": batch_id, "many": total, "headed": said, "now": self._clock()})
            return self._listed(connection, batches.c.id == batch_id, 1)[0]

    def drop(self, batch_id: str) -> None:
        """Forget a batch that was not received whole."""
        with self._database.writing() as connection:
            if connection.execute(_STILL_RECEIVING, {"of": batch_id}).one_or_none() is not None:
                for table, column in ((lines, lines.c.batch_id), (chunks, chunks.c.batch_id), (batches, batches.c.id)):
                    connection.execute(table.delete().where(column == batch_id))

    def drop_forsaken(self) -> None:
        """Forget the batches whose receiving broke off."""
        with self._database.reading() as connection:
            found = connection.execute(_FORSAKEN, {"since": self._clock() - FORSAKEN_SECONDS}).scalars().all()
        for each in found:
            self.drop(each)

    def progress(self, batch_id: str) -> Progress | None:
        """Where a batch stands; None where there is none."""
        with self._database.reading() as connection:
            found = self._listed(connection, and_(batches.c.id == batch_id, batches.c.state != RECEIVING), 1)
        return found[0] if found else None

    def page(self, limit: int, before: str | None = None) -> list[Progress]:
        """Up to `limit` batches, newest first, those made before the id `before` if one is given."""
        whole = batches.c.state != RECEIVING
        with self._database.reading() as connection:
            return self._listed(connection, whole if before is None else and_(whole, batches.c.id < before), limit)

    def _listed(self, connection: Connection, which: ColumnElement[bool], limit: int) -> list[Progress]:
        now = self._clock()
        rows = connection.execute(_PROGRESS.where(which).limit(limit), {"now": now, "since": now - RATE_SECONDS}).all()
        return [_progress(row, now) for row in rows]

    def cancel(self, batch_id: str) -> None:
        """Nothing more is quoted; what was quoted stays. Raises NotCancelled."""
        with self._database.writing() as connection:
            changed = connection.execute(_CANCEL, {"of": batch_id, "now": self._clock()}).rowcount
            if changed:
                connection.execute(_CANCEL_CHUNKS, {"of": batch_id})
                connection.execute(_FORGET_REQUESTS, {"of": batch_id})
                return
            if connection.execute(select(batches.c.state).where(batches.c.id == batch_id)).scalar_one_or_none() == DONE:
                raise NotCancelled

    def outcomes(self, batch_id: str, at_once: int = 100) -> Iterator[Outcome]:
        """Every line that has an outcome, in the order of the file; a page at a time, so that nothing is held for long."""
        last = -1
        while True:
            with self._database.reading() as connection:
                rows = connection.execute(_OUTCOMES.limit(at_once), {"of": batch_id, "after": last}).all()
            for row in rows:
                yield Outcome(*row)._replace(said=None if row.said is None else gzip.decompress(row.said))
            if len(rows) < at_once:
                return
            last = rows[-1].place

    def edition(self, batch_id: str) -> Edition:
        """The tables that all of it is quoted with."""
        with self._database.reading() as connection:
            return Edition(
                *connection.execute(select(batches.c.catalogue_version, batches.c.price_version).where(batches.c.id == batch_id)).one()
            )

    def summary(self, batch_id: str) -> bytes | None:
        """The fleet's summary as kept, as JSON."""
        with self._database.reading() as connection:
            packed = connection.execute(select(batches.c.summary).where(batches.c.id == batch_id)).scalar_one_or_none()
        return None if packed is None else gzip.decompress(packed)

    def keep_summary(self, batch_id: str, said: bytes) -> None:
        """Keep the fleet's summary, as JSON."""
        with self._database.writing() as connection:
            connection.execute(batches.update().where(batches.c.id == batch_id).values(summary=gzip.compress(said, 1)))


def _row(line: Line) -> dict[str, object]:
    failed = line.problem is not None
    return {
        "name": line.name,
        "number": line.number,
        "rows": None if line.rows is None else json.write(line.rows).decode(),
        "request": None if line.request is None or failed else gzip.compress(line.request, 1),
        "subject": line.subject,
        "outcome": FAILED if failed else None,
        "said": None if line.problem is None else gzip.compress(line.problem, 1),
    }


def _progress(row: Any, now: float) -> Progress:
    finished, quoted = row.finished or 0, row.quoted or 0
    rate = 0.0
    if row.begun is not None:
        counted, since = (row.lately or 0, max(row.begun, now - RATE_SECONDS)) if row.ended is None else (finished, row.begun)
        rate = round(counted / max((row.ended or now) - since, 0.1), 1)
    seconds = 0 if row.state in (DONE, CANCELLED) else math.ceil((row.total - finished) / rate) if rate else None
    head = (row.id, row.kind, row.source, row.state, row.created)
    return Progress(*head, row.total, quoted, finished - quoted, rate, seconds, _stalled(row, now), bool(row.overdue))


def _stalled(row: Any, now: float) -> str | None:
    """For people, where nothing came for a while: the workers, or whoever writes for them, may be in trouble that cannot be stored."""
    quiet = now - max(row.latest or row.begun or 0.0, row.whole or 0.0)
    if row.state not in OPEN or quiet < QUIET_SECONDS:
        return None
    return (
        f"Nothing has come of it for {quiet:.0f} s. See that a worker of batches runs, and what GET /readyz and the workers' log say. "
        "Nothing is lost: it goes on by itself."
    )


_OF: Any = bindparam("of")
_NOW: Any = bindparam("now")
_TOUCH = batches.update().where(batches.c.id == _OF).values(touched=_NOW)
_FIRST = (
    select(lines.c.name, func.min(lines.c.place).label("place"))
    .where(lines.c.batch_id == _OF, lines.c.name.is_not(None))
    .group_by(lines.c.name)
    .having(func.count() > 1)
    .subquery("earlier")
)
_REPEATED = (  # over the names that occur twice: to look for an earlier one line by line takes time with the square of the lines
    lines.update()
    .where(lines.c.batch_id == _OF, lines.c.name == _FIRST.c.name, lines.c.place > _FIRST.c.place)
    .values(outcome=FAILED, said=bindparam("why"), request=None)
)
_WHOLE = (
    batches.update()
    .where(batches.c.id == _OF, batches.c.state == RECEIVING)
    .values(state=WAITING, total=bindparam("many"), columns=bindparam("headed"), touched=_NOW)
)
_STILL_RECEIVING = select(batches.c.id).where(batches.c.id == _OF, batches.c.state == RECEIVING).with_for_update()
_FORSAKEN = select(batches.c.id).where(batches.c.state == RECEIVING, batches.c.touched < bindparam("since"))
_CANCEL = batches.update().where(batches.c.id == _OF, batches.c.state.in_(OPEN)).values(state=CANCELLED, ended=_NOW)
_CANCEL_CHUNKS = (
    chunks.update().where(chunks.c.batch_id == _OF, chunks.c.state.in_(("todo", "working"))).values(state=CANCELLED, holder=None)
)
_FORGET_REQUESTS = lines.update().where(lines.c.batch_id == _OF, lines.c.outcome.is_(None)).values(request=None)
_OUTCOMES = (
    select(*(lines.c[name] for name in Outcome._fields))
    .where(lines.c.batch_id == _OF, lines.c.outcome.is_not(None), lines.c.place > bindparam("after"))
    .order_by(lines.c.place)
)


def _sum(what: Any) -> Any:
    return select(cast(func.sum(what), Integer)).where(chunks.c.batch_id == batches.c.id).scalar_subquery()


_FINISHED = chunks.c.done + chunks.c.failed
_UNBEGUN = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state == "todo")
_WORKED_ON = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state == "working", chunks.c.until > _NOW)
_LAPSED = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state == "working", chunks.c.until <= _NOW)
_PROGRESS = select(
    *(batches.c[name] for name in ("id", "kind", "source", "state", "created", "total", "begun", "ended")),
    _sum(_FINISHED).label("finished"),
    case((batches.c.state == WAITING, batches.c.touched)).label("whole"),
    select(func.max(chunks.c.ended)).where(chunks.c.batch_id == batches.c.id).scalar_subquery().label("latest"),
    _sum(chunks.c.done).label("quoted"),
    _sum(case((chunks.c.ended > bindparam("since"), _FINISHED), else_=0)).label("lately"),
    and_(batches.c.state.in_(OPEN), _LAPSED | (_UNBEGUN & ~_WORKED_ON)).label("overdue"),
).order_by(batches.c.id.desc())
