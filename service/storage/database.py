"""One process's database: its engine, opened on first use, with separate access for reading and writing."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from functools import cached_property
from typing import Any

from sqlalchemy import Connection, Engine, Select, event
from sqlalchemy.exc import TimeoutError as Waited

from service.storage import compiled, tallies
from service.storage.engines import PATIENCE_SECONDS, WRITES, connect, is_sqlite
from service.storage.fifo_semaphore import FifoSemaphore
from service.storage.outbox import Listeners
from service.storage.schema_version import check


class Database:
    """Created before the workers fork; opens its connections on first use, after the fork.

    A writing thread has a single connection: everything it reads or writes meanwhile goes through it and sees what was written. If
    it waited for a second one, as many writers as there are connections could deadlock.
    """

    def __init__(self, url: str, pool_size: int = 16) -> None:
        self._url, self._pool_size = url, pool_size
        self._opening = threading.Lock()
        self._closed = False
        # Half of the connections are reserved for readers; SQLite has one writer at a time.
        self._writing = FifoSemaphore(1 if is_sqlite(url) else max(pool_size // 2, 1))
        self._numbering = None if is_sqlite(url) else FifoSemaphore()
        self._together = threading.local()
        self.listeners = Listeners()

    @property
    def url(self) -> str:
        """The database URL, including its password if it has one."""
        return self._url

    @cached_property
    def _engine(self) -> Engine:
        return connect(self._url, self._pool_size)

    def engine(self) -> Engine:
        """This process's engine."""
        with self._opening:
            return self._engine

    def read_row(self, statement: Select[Any], given: Mapping[str, str | int]) -> Sequence[Any] | None:
        """The one row that a statement finds, or None; within a transaction of this thread, it sees what was written. Costs a fraction of
        `reading`, which is for what several statements must see alike. Raises SQLAlchemyError; MultipleResultsFound if there are more.
        """
        mine = self._mine()
        return compiled.read_row(self.engine(), statement, given) if mine is None else compiled.fetch_row(mine, statement, given)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one consistent state of the database while it is open; within a transaction, that transaction's
        connection.
        """
        mine = self._mine()
        if mine is not None:
            yield mine
            return
        with self.engine().connect() as connection:
            yield connection

    @property
    def in_step(self) -> bool:
        """Whether what this thread writes next belongs to a transaction of its own making."""
        return self._mine() is not None or getattr(self._together, "held", None) is not None

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection in a transaction that is committed unless an exception is raised, and otherwise rolled back.

        Within another transaction of this thread, it joins that one. This process's threads queue here, in the order in which they came,
        instead of through SQLite's polling or for a connection. Raises SQLAlchemyError, also on a timeout while waiting.
        """
        held: ExitStack | None = getattr(self._together, "held", None)
        mine = self._mine()
        if mine is not None:
            yield mine
        elif held is not None:
            yield held.enter_context(self._begun())
        else:
            with self._begun() as connection:
                yield connection

    @contextmanager
    def numbering(self) -> Iterator[Connection]:
        """Like `writing`, for transactions that take a number. The counter's row lets one through at a time, and a transaction waiting
        for it
        would keep a connection from readers, so this process's threads queue before they take one."""
        with ExitStack() as mine:
            if self._numbering is not None and self._mine() is None:
                to_the_end: ExitStack = getattr(self._together, "held", None) or mine
                to_the_end.enter_context(_in_line(self._numbering))
            yield mine.enter_context(self.writing())

    def _mine(self) -> Connection | None:
        """The connection on which this thread is writing."""
        found: Connection | None = getattr(self._together, "connection", None)
        return found

    @contextmanager
    def together(self) -> Iterator[None]:
        """Everything this thread writes inside is one transaction, begun by the first write and committed or rolled back as a whole."""
        with ExitStack() as held:
            self._together.held = held
            try:
                yield
            finally:
                self._together.held = None

    @contextmanager
    def apart(self) -> Iterator[None]:
        """Inside `together`, before its first write: what this thread writes here is committed separately."""
        held = getattr(self._together, "held", None)
        self._together.held = None
        try:
            yield
        finally:
            self._together.held = held

    @contextmanager
    def _begun(self) -> Iterator[Connection]:
        with _in_line(self._writing), self.engine().connect().execution_options(**{WRITES: True}) as connection, connection.begin():
            self._together.connection = connection
            tallies.begin(connection)
            try:
                yield connection
                tallies.write(connection)
            finally:
                self._together.connection = None

    def ready(self) -> None:
        """Raises SQLAlchemyError if the database does not respond, WrongSchema if its tables are not this release's."""
        with self.reading() as connection:
            check(connection)

    def close(self) -> None:
        """Close this process's connections. One that a thread uses or opens later is closed as soon as it is given back."""
        engine = self.engine()
        if not self._closed:
            self._closed = True
            event.listen(engine, "checkin", _close)  # also of the pool that takes the place of this one
        engine.dispose()


def _close(connection: Any, record: Any) -> None:
    """Close what is given back; its place in the pool connects anew if it is needed again."""
    if connection is not None:
        record.invalidate()


@contextmanager
def _in_line(semaphore: FifoSemaphore) -> Iterator[None]:
    """Wait for this thread's turn, and hold it meanwhile. Raises Waited."""
    if not semaphore.enter(PATIENCE_SECONDS):
        raise Waited("other writers of this process hold the database")
    try:
        yield
    finally:
        semaphore.leave()
