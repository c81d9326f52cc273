"""Transactions shared by threads: what several threads of a process want to store meanwhile is committed once, and answered once it is.

A commit waits for the disk, three or four milliseconds, and SQLite has one writer at a time: one after another, two processes stored no more
than their disk could confirm. The first thread leads: it takes its turn among the writers, runs what has gathered until then, each in a
savepoint of its own, and commits. Nobody is told that something is stored before that, and what cannot be stored is undone alone.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, Generic, TypeVar, cast

from sqlalchemy import Connection

from service.storage import ready, tallies

MOST = 16  # that are stored at once: others wait for them
Stored = TypeVar("Stored")
Work = Callable[[Connection], Stored]


class _Order(Generic[Stored]):
    """What one thread wants stored, and what came of it."""

    def __init__(self, work: Work[Stored]) -> None:
        self.work, self.leads, self.done = work, False, False
        self.stored: Stored | None = None
        self.failure: BaseException | None = None
        self.turn = threading.Lock()
        self.turn.acquire()

    def run(self, connection: Connection) -> None:
        """Store it; keeps what is raised for the thread that waits."""
        try:
            self.stored = self.work(connection)
        except BaseException as failure:  # noqa: BLE001  # raised in the thread that waits for it
            self.failure = failure


class Together:
    """The shared transactions of one database. `writing` begins one, and commits it unless something is raised."""

    def __init__(self, writing: Callable[[], AbstractContextManager[Connection]]) -> None:
        self._writing, self._guard = writing, threading.Lock()
        self._waiting: list[_Order[Any]] = []
        self._led = False

    def __len__(self) -> int:
        """How many wait for the transaction that is under way."""
        return len(self._waiting)

    def store(self, work: Work[Stored]) -> Stored:
        """What `work` returns, once it is committed. `work` writes over the connection that it is given, and nothing else. Raises what it
        raises, and SQLAlchemyError if the transaction fails.
        """
        order = _Order(work)
        with self._guard:
            self._waiting.append(order)
            if not self._led:
                self._led = order.leads = True
        if not order.leads:
            order.turn.acquire()  # until it is stored, or until this thread is to lead
        if not order.done:
            self._lead(order)
        if order.failure is not None:
            raise order.failure
        return cast("Stored", order.stored)

    def _lead(self, own: _Order[Any]) -> None:
        orders = [own]
        try:
            with self._writing() as connection:
                orders = self._gathered(own)
                _run(connection, orders)
                if len(orders) == 1 and own.failure is not None:
                    raise own.failure  # noqa: TRY301  # rolls back; told below as any failure of the transaction
        except BaseException as failure:  # noqa: BLE001  # raised in each of their threads
            for each in orders:
                each.failure = each.failure or failure
        finally:
            for each in orders:
                each.done = True
                if each is not own:
                    each.turn.release()
            self._hand_over(own)

    def _gathered(self, own: _Order[Any]) -> list[_Order[Any]]:
        """What is to be stored now, in the order in which it came, with the leader's own in any case."""
        with self._guard:
            orders = self._waiting[:MOST]
            if own not in orders:
                orders = [own, *orders[: MOST - 1]]
            self._waiting = [each for each in self._waiting if each not in orders]
        return orders

    def _hand_over(self, own: _Order[Any]) -> None:
        """Let the thread that has waited longest lead, if one waits."""
        with self._guard:
            self._waiting = [each for each in self._waiting if each is not own]  # where the transaction could not begin
            following = self._waiting[0] if self._waiting else None
            self._led = following is not None
        if following is not None:
            following.turn.release()


def _run(connection: Connection, orders: list[_Order[Any]]) -> None:
    """Run each; where there are several, undo by itself what fails. Raises SQLAlchemyError if that cannot be."""
    for each in orders:
        if len(orders) == 1:
            each.run(connection)
            continue
        ready.run(connection, "SAVEPOINT one_of_several")
        before = tallies.so_far(connection)
        each.run(connection)
        if each.failure is not None:
            ready.run(connection, "ROLLBACK TO SAVEPOINT one_of_several")
            tallies.back_to(connection, before)
        ready.run(connection, "RELEASE SAVEPOINT one_of_several")
