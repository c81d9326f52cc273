"""One database of one process: its engine, opened at first use, and its two ways in, reading and writing."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import cached_property

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import TimeoutError as Waited

from service.storage.connect import PATIENCE_SECONDS, WRITES, connect, is_sqlite
from service.storage.migrating import check
from service.storage.outbox import Listeners


class Database:
    """Made before the workers fork, it opens its connections at first use, after it."""

    def __init__(self, url: str, pool_size: int = 16) -> None:
        self._url, self._pool_size = url, pool_size
        self._opening = threading.Lock()
        self._writing = threading.Lock() if is_sqlite(url) else None
        self._together = threading.local()
        self.listeners = Listeners()

    @property
    def url(self) -> str:
        """Where it is, with whatever password it takes."""
        return self._url

    @cached_property
    def _engine(self) -> Engine:
        return connect(self._url, self._pool_size)

    def engine(self) -> Engine:
        """This process's engine."""
        with self._opening:
            return self._engine

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one state of the database for as long as it is open."""
        with self.engine().connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection in a transaction that is kept if nothing is raised, else undone whole.

        SQLite has one writer: threads of this process wait in a line here, not by SQLite's polling. Raises SQLAlchemyError, also where
        the wait is too long.
        """
        held: ExitStack | None = getattr(self._together, "held", None)
        if held is None:
            with self._begun() as connection:
                yield connection
            return
        if self._together.connection is None:
            self._together.connection = held.enter_context(self._begun())
        yield self._together.connection

    @contextmanager
    def together(self) -> Iterator[None]:
        """What this thread writes within is one transaction, begun by its first writing, kept at the end or undone whole."""
        with ExitStack() as held:
            self._together.held, self._together.connection = held, None
            try:
                yield
            finally:
                self._together.held = None

    @contextmanager
    def apart(self) -> Iterator[None]:
        """Inside `together`, before it has written: what this thread writes within is kept by itself."""
        held = getattr(self._together, "held", None)
        self._together.held = None
        try:
            yield
        finally:
            self._together.held = held

    @contextmanager
    def _begun(self) -> Iterator[Connection]:
        if self._writing is not None and not self._writing.acquire(timeout=PATIENCE_SECONDS):
            raise Waited("other writers of this process hold the database")
        try:
            with self.engine().connect().execution_options(**{WRITES: True}) as connection, connection.begin():
                yield connection
        finally:
            if self._writing is not None:
                self._writing.release()

    def ready(self) -> None:
        """Raises SQLAlchemyError where the database does not answer, WrongSchema where its tables are not this release's."""
        with self.reading() as connection:
            check(connection)

    def close(self) -> None:
        """Close this process's connections."""
        self.engine().dispose()
