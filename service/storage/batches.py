"""Batches of many boats: received line by line, monitored, cancelled, read back. Their processing is in `chunks.py`."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Integer, and_, bindparam, case, cast, exists, func, select

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage.catalogue_editions import Edition
from service.storage.clock import now
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.leases import Clock, HeldLease, Watch
from service.storage.records import moment
from service.storage.tables import batch_chunks as chunks
from service.storage.tables import batch_lines as lines
from service.storage.tables import batches

CHUNK = 25  # lines that are processed and stored together
RATE_SECONDS = 30.0  # the rate is measured over this recent period
FORSAKEN_SECONDS = 300.0  # a batch still being received that has not grown for this long will never be complete
MOST_ARCHIVED = 500  # quotations in one archive: rendering takes seconds per boat, and not many more documents are kept
QUIET_SECONDS = 30.0  # after this time without a result, `stalled` has a warning
RECEIVING, WAITING, RUNNING, COMPLETED, CANCELLED = "receiving", "waiting", "running", "completed", "cancelled"
OPEN = (WAITING, RUNNING)
SUCCEEDED, FAILED = "succeeded", "failed"


class Line(NamedTuple):
    """A line as received. `request` is JSON; `problem` says why the line could not be read; `rows`: the line's rows in a table; `subject`: the
    id of the quote to be quoted again.
    """

    number: int
    name: str | None = None
    request: bytes | None = None
    problem: bytes | None = None
    rows: tuple[int, ...] | None = None
    subject: str | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """The state of a batch. `succeeded` lines were quoted, `failed` ones were not and never will be; `rate`: lines per second, recently;
    `stalled`: what to check if no more results arrive.
    """

    id: str
    kind: str
    source: str
    status: str
    created_at: str
    total: int
    succeeded: int
    failed: int
    rate: float
    seconds_left: int | None
    stalled: str | None = None
    overdue: bool = False  # there is work to do, but no worker has begun it

    @property
    def ended(self) -> bool:
        """Whether nothing will change any more."""
        return self.status in (COMPLETED, CANCELLED)

    def document(self) -> dict[str, Any]:
        """The state as the API returns it."""
        found = {name: getattr(self, name) for name in self.__dataclass_fields__ if name != "overdue"}
        at = f"/v1/batches/{self.id}"
        archived = self.ended and 0 < self.succeeded <= MOST_ARCHIVED
        return {
            **found, "href": at, "events": f"{at}/events", "results": f"{at}/results", "summary": f"{at}/summary",
            "quotations": f"{at}/quotations" if archived else None,
        }  # fmt: skip


class Outcome(NamedTuple):
    """A line and its outcome; `said` is the quote's head or the problem, as JSON; the fields are named after the columns."""

    place: int
    name: str | None
    number: int
    outcome: str | None
    quote_id: str | None
    said: bytes | None


class NotCancelled(Exception):
    """The batch is completed: there is nothing left to cancel."""


class Batches:
    """The batches in one database. `clock`: seconds since 1970, by default the database's own; `steady`: the monotonic clock used to
    detect abandoned ones.
    """

    def __init__(self, database: Database, clock: Clock | None = None, steady: Clock = time.monotonic) -> None:
        self._database, self._clock = database, clock
        self._watch = Watch(FORSAKEN_SECONDS, steady)

    def _now(self, connection: Connection) -> float:
        return self._clock() if self._clock else now(connection)

    def open(self, kind: str, source: str, edition: Edition) -> str:
        """Open a new batch for receiving and return its id."""
        row = {
            "id": new_id(), "kind": kind, "source": source, "state": RECEIVING, "created_at": moment(), "total": 0,
            "catalogue_version": edition.catalogue, "price_version": edition.prices,
        }  # fmt: skip
        with self._database.writing() as connection:
            connection.execute(batches.insert(), [{**row, "touched": self._now(connection)}])
        return str(row["id"])

    def add(self, batch_id: str, first: int, found: Sequence[Line]) -> None:
        """Add consecutive lines, from place `first` on, a multiple of CHUNK."""
        of = {"batch_id": batch_id}
        parts = [
            {**of, "first": first + at, "count": min(CHUNK, len(found) - at), "state": "todo", "attempts": 0, "succeeded": 0, "failed": 0}
            for at in range(0, len(found), CHUNK)
        ]
        rows = [{**of, "place": first + at, **_row(line)} for at, line in enumerate(found)]
        with self._database.writing() as connection:
            connection.execute(lines.insert(), rows)
            connection.execute(chunks.insert(), parts)
            connection.execute(_TOUCH, {"of": batch_id, "now": self._now(connection)})

    def refuse_repeated(self, batch_id: str, problem: bytes) -> None:
        """Fail, with this problem, every line whose name an earlier line already has."""
        with self._database.writing() as connection:
            connection.execute(_REPEATED, {"of": batch_id, "why": pack(problem)})

    def mark_received(self, batch_id: str, total: int, columns: Sequence[str] | None = None) -> Progress:
        """Mark a batch as completely received, so that its processing can start, and return its state."""
        header = None if columns is None else json.write(list(columns)).decode()
        with self._database.writing() as connection:
            connection.execute(_MARK_RECEIVED, {"of": batch_id, "many": total, "headed": header, "now": self._now(connection)})
            return self._listed(connection, batches.c.id == batch_id, 1)[0]

    def drop(self, batch_id: str, as_seen: float | None = None) -> None:
        """Delete a batch that was not received completely; with `as_seen` only if it has not grown since it was touched then."""
        with self._database.writing() as connection:
            found = connection.execute(_STILL_RECEIVING, {"of": batch_id}).scalar_one_or_none()
            if found is not None and as_seen in (None, found):
                for table, column in ((lines, lines.c.batch_id), (chunks, chunks.c.batch_id), (batches, batches.c.id)):
                    connection.execute(table.delete().where(column == batch_id))

    def drop_unfinished(self) -> None:
        """Delete batches whose upload broke off: those this process has not seen grow for FORSAKEN_SECONDS."""
        for each in self._watch.abandoned(self._receiving):
            self.drop(each.what[0], each.mark[0])

    def _receiving(self) -> list[HeldLease]:
        with self._database.reading() as connection:
            return [HeldLease((row.id,), (row.touched,)) for row in connection.execute(_RECEIVING)]

    def progress(self, batch_id: str) -> Progress | None:
        """The state of a batch; None if there is none with this id."""
        with self._database.reading() as connection:
            found = self._listed(connection, and_(batches.c.id == batch_id, batches.c.state != RECEIVING), 1)
        return found[0] if found else None

    def page(self, limit: int, before: str | None = None) -> list[Progress]:
        """Up to `limit` batches, newest first; with `before`, only those older than that id."""
        whole = batches.c.state != RECEIVING
        with self._database.reading() as connection:
            return self._listed(connection, whole if before is None else and_(whole, batches.c.id < before), limit)

    def _listed(self, connection: Connection, which: ColumnElement[bool], limit: int) -> list[Progress]:
        moment = self._now(connection)
        rows = connection.execute(_PROGRESS.where(which).limit(limit), {"since": moment - RATE_SECONDS}).all()
        return [_progress(row, moment) for row in rows]

    def cancel(self, batch_id: str) -> None:
        """Cancel a batch: nothing more is quoted, and the quotes already made remain. Raises NotCancelled."""
        with self._database.writing() as connection:
            changed = connection.execute(_CANCEL, {"of": batch_id, "now": self._now(connection)}).rowcount
            if changed:
                connection.execute(_CANCEL_CHUNKS, {"of": batch_id})
                connection.execute(_FORGET_REQUESTS, {"of": batch_id})
                return
            if connection.execute(select(batches.c.state).where(batches.c.id == batch_id)).scalar_one_or_none() == COMPLETED:
                raise NotCancelled

    def outcomes(self, batch_id: str, at_once: int = 100) -> Iterator[Outcome]:
        """Every line that has an outcome, in file order; read a page at a time, so that no connection is held for long."""
        last = -1
        while True:
            with self._database.reading() as connection:
                rows = connection.execute(_OUTCOMES.limit(at_once), {"of": batch_id, "after": last}).all()
            for row in rows:
                yield Outcome(*row)._replace(said=None if row.said is None else unpack(row.said))
            if len(rows) < at_once:
                return
            last = rows[-1].place

    def edition(self, batch_id: str) -> Edition:
        """The edition of the tables that the whole batch is quoted with."""
        with self._database.reading() as connection:
            return Edition(
                *connection.execute(select(batches.c.catalogue_version, batches.c.price_version).where(batches.c.id == batch_id)).one()
            )

    def summary(self, batch_id: str) -> bytes | None:
        """The stored fleet summary, as JSON."""
        with self._database.reading() as connection:
            packed = connection.execute(select(batches.c.summary).where(batches.c.id == batch_id)).scalar_one_or_none()
        return None if packed is None else unpack(packed)

    def keep_summary(self, batch_id: str, summary: bytes) -> bool:
        """Store the fleet summary, as JSON; False if there is one already."""
        first = batches.update().where(batches.c.id == batch_id, batches.c.summary.is_(None))
        with self._database.writing() as connection:
            return connection.execute(first.values(summary=pack(summary))).rowcount == 1


def _row(line: Line) -> dict[str, object]:
    failed = line.problem is not None
    return {
        "name": line.name,
        "number": line.number,
        "rows": None if line.rows is None else json.write(line.rows).decode(),
        "request": None if line.request is None or failed else pack(line.request),
        "subject": line.subject,
        "outcome": FAILED if failed else None,
        "said": None if line.problem is None else pack(line.problem),
    }


def _progress(row: Any, now: float) -> Progress:
    finished, succeeded = row.finished or 0, row.succeeded or 0
    rate = 0.0
    if row.begun is not None:
        counted, since = (row.lately or 0, max(row.begun, now - RATE_SECONDS)) if row.ended is None else (finished, row.begun)
        rate = round(counted / max((row.ended or now) - since, 0.1), 1)
    seconds = 0 if row.state in (COMPLETED, CANCELLED) else math.ceil((row.total - finished) / rate) if rate else None
    head = (row.id, row.kind, row.source, row.state, row.created_at)
    return Progress(*head, row.total, succeeded, finished - succeeded, rate, seconds, _stalled(row, now), bool(row.overdue))


def _stalled(row: Any, now: float) -> str | None:
    """A warning when no results have come for a while: the workers or their database writes may be failing, which cannot be recorded in the
    database itself.
    """
    quiet = now - max(row.latest or row.begun or 0.0, row.whole or 0.0)
    if row.state not in OPEN or quiet < QUIET_SECONDS:
        return None
    return (
        f"No line has been finished for {quiet:.0f} s. Check that a batch worker is running, and look at GET /readyz and the workers' log. "
        "Nothing is lost: the batch continues by itself."
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
_REPEATED = (  # joins only names that occur twice: a line-by-line search for earlier ones would take quadratic time
    lines.update()
    .where(lines.c.batch_id == _OF, lines.c.name == _FIRST.c.name, lines.c.place > _FIRST.c.place)
    .values(outcome=FAILED, said=bindparam("why"), request=None)
)
_MARK_RECEIVED = (
    batches.update()
    .where(batches.c.id == _OF, batches.c.state == RECEIVING)
    .values(state=WAITING, total=bindparam("many"), columns=bindparam("headed"), touched=_NOW)
)
_STILL_RECEIVING = select(batches.c.touched).where(batches.c.id == _OF, batches.c.state == RECEIVING).with_for_update()
_RECEIVING = select(batches.c.id, batches.c.touched).where(batches.c.state == RECEIVING)
_CANCEL = batches.update().where(batches.c.id == _OF, batches.c.state.in_(OPEN)).values(state=CANCELLED, ended=_NOW)
_CANCEL_CHUNKS = (
    chunks.update()
    .where(chunks.c.batch_id == _OF, chunks.c.state.in_(("todo", "working")))
    .values(state=CANCELLED, holder=None, process=None)
)
_FORGET_REQUESTS = lines.update().where(lines.c.batch_id == _OF, lines.c.outcome.is_(None)).values(request=None)
_OUTCOMES = (
    select(*(lines.c[name] for name in Outcome._fields))
    .where(lines.c.batch_id == _OF, lines.c.outcome.is_not(None), lines.c.place > bindparam("after"))
    .order_by(lines.c.place)
)


def _sum(what: Any) -> Any:
    return select(cast(func.sum(what), Integer)).where(chunks.c.batch_id == batches.c.id).scalar_subquery()


_FINISHED = chunks.c.succeeded + chunks.c.failed
_UNBEGUN = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state == "todo")
_WORKED_ON = exists().where(chunks.c.batch_id == batches.c.id, chunks.c.state == "working")
_PROGRESS = select(
    *(batches.c[name] for name in ("id", "kind", "source", "state", "created_at", "total", "begun", "ended")),
    _sum(_FINISHED).label("finished"),
    case((batches.c.state == WAITING, batches.c.touched)).label("whole"),
    select(func.max(chunks.c.ended)).where(chunks.c.batch_id == batches.c.id).scalar_subquery().label("latest"),
    _sum(chunks.c.succeeded).label("succeeded"),
    _sum(case((chunks.c.ended > bindparam("since"), _FINISHED), else_=0)).label("lately"),
    and_(batches.c.state.in_(OPEN), _UNBEGUN & ~_WORKED_ON).label("overdue"),
).order_by(batches.c.id.desc())
