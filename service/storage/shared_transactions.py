"""Group commit: the writes of several threads of a process share one transaction, and each thread returns once that is committed.

A commit waits three or four milliseconds for the disk, and SQLite has one writer at a time, so with one commit per write, two processes
stored no more than the disk could confirm. Here the first thread leads: it waits for its turn among the writers, runs all writes that have
queued up until then, each in its own savepoint, and commits. No thread returns before the commit, and a write that fails is rolled back
alone.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, Generic, TypeVar, cast

from sqlalchemy import Connection

from service.storage import compiled, tallies

MOST = 16  # writes in one transaction; further ones wait for the next
Stored = TypeVar("Stored")
Work = Callable[[Connection], Stored]


class _PendingWrite(Generic[Stored]):
    """The write of one thread, and its result."""

    def __init__(self, work: Work[Stored]) -> None:
        self.work, self.leads, self.done = work, False, False
        self.stored: Stored | None = None
        self.failure: BaseException | None = None
        self.turn = threading.Lock()
        self.turn.acquire()

    def run(self, connection: Connection) -> None:
        """Run the write, and keep its exception for the thread that waits."""
        try:
            self.stored = self.work(connection)
        except BaseException as failure:  # noqa: BLE001  # raised again in the thread that waits
            self.failure = failure


class SharedTransactions:
    """The shared transactions of one database. `writing` begins a transaction, and commits it unless an exception is raised."""

    def __init__(self, writing: Callable[[], AbstractContextManager[Connection]]) -> None:
        self._writing, self._guard = writing, threading.Lock()
        self._waiting: list[_PendingWrite[Any]] = []
        self._led = False

    def __len__(self) -> int:
        """The number of writes waiting for the current transaction to end."""
        return len(self._waiting)

    def store(self, work: Work[Stored]) -> Stored:
        """Run `work` in a shared transaction and return its result once that is committed. `work` must write only through the connection
        it receives. Raises whatever `work` raises, and SQLAlchemyError if the transaction fails.
        """
        pending = _PendingWrite(work)
        with self._guard:
            self._waiting.append(pending)
            if not self._led:
                self._led = pending.leads = True
        if not pending.leads:
            pending.turn.acquire()  # released once this write is stored, or once this thread is to lead
        if not pending.done:
            self._lead(pending)
        if pending.failure is not None:
            raise pending.failure
        return cast("Stored", pending.stored)

    def _lead(self, own: _PendingWrite[Any]) -> None:
        writes = [own]
        try:
            with self._writing() as connection:
                writes = self._gathered(own)
                _run(connection, writes)
                if len(writes) == 1 and own.failure is not None:
                    raise own.failure  # noqa: TRY301  # rolls back; handled below like any failure of the transaction
        except BaseException as failure:  # noqa: BLE001  # raised in each of their threads
            for each in writes:
                each.failure = each.failure or failure
        finally:
            for each in writes:
                each.done = True
                if each is not own:
                    each.turn.release()
            self._hand_over(own)

    def _gathered(self, own: _PendingWrite[Any]) -> list[_PendingWrite[Any]]:
        """The writes for this transaction, first come, first served; always includes the leader's own."""
        with self._guard:
            writes = self._waiting[:MOST]
            if own not in writes:
                writes = [own, *writes[: MOST - 1]]
            self._waiting = [each for each in self._waiting if each not in writes]
        return writes

    def _hand_over(self, own: _PendingWrite[Any]) -> None:
        """Let the thread that has waited longest lead next, if there is one."""
        with self._guard:
            self._waiting = [each for each in self._waiting if each is not own]  # where the transaction could not begin
            following = self._waiting[0] if self._waiting else None
            self._led = following is not None
        if following is not None:
            following.turn.release()


def _run(connection: Connection, writes: list[_PendingWrite[Any]]) -> None:
    """Run the writes. If there are several, one that fails is rolled back to its savepoint. Raises SQLAlchemyError if even that fails."""
    for each in writes:
        if len(writes) == 1:
            each.run(connection)
            continue
        compiled.execute_text(connection, "SAVEPOINT one_of_several")
        before = tallies.so_far(connection)
        each.run(connection)
        if each.failure is not None:
            compiled.execute_text(connection, "ROLLBACK TO SAVEPOINT one_of_several")
            tallies.back_to(connection, before)
        compiled.execute_text(connection, "RELEASE SAVEPOINT one_of_several")
