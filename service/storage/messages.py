"""Webhook messages in delivery, claimed under a lease (`leases.py`) like the chunks of a batch, so that another worker takes over what
a killed one message.

A message is waiting, delivered or dead. A worker that has claimed one delivers it outside any transaction and then records the
result. That requires the claim to be still valid, so if the first worker's lease lapsed and another took over, only the later one
records anything.
"""

from __future__ import annotations

import secrets
import time
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, func, or_, select

from service.storage import processes
from service.storage.clock import now
from service.storage.database import Database
from service.storage.endpoints import end
from service.storage.leases import Clock, HeldLease, Watch
from service.storage.outbox import DEAD, DELIVERED, WAITING
from service.storage.tables import webhook_endpoints, webhook_messages

messages = webhook_messages
DAY = 86400.0
KEPT_DELIVERED, KEPT_DEAD = 7 * DAY, 90 * DAY


class ClaimedMessage(NamedTuple):
    """A message being delivered; `attempt` counts from 1."""

    id: str
    endpoint_id: str
    event: str
    body: bytes
    attempt: int
    holder: str


class DeadLetter(NamedTuple):
    """A dead letter; `answer` describes the result of the last attempt."""

    id: str
    endpoint_id: str
    event: str
    created_at: str
    attempts: int
    answer: str | None


class Messages:
    """The messages in one database, for one process that delivers them and watches the others. `lease` in seconds, longer than an
    attempt takes, measured by `steady`, a monotonic clock; `clock`: seconds since 1970, by default the database's own.
    """

    def __init__(self, database: Database, lease: float, clock: Clock | None = None, steady: Clock = time.monotonic) -> None:
        self._database, self._clock = database, clock
        self._watch = Watch(lease, steady)

    def _now(self, connection: Connection) -> float:
        return self._clock() if self._clock else now(connection)

    def free(self) -> None:
        """Make abandoned messages available again."""
        for each in self._watch.abandoned(self._held):
            with self._database.writing() as connection:
                connection.execute(_FREE, {"at": each.what[0], "mine": each.mark[0]})

    def _held(self) -> list[HeldLease]:
        with self._database.reading() as connection:
            return [HeldLease((row.id,), (row.holder,), row.process) for row in connection.execute(_HELD)]

    def claim(self, endpoint_id: str, most: int) -> list[ClaimedMessage]:
        """Claim up to `most` messages for an endpoint that are due and unclaimed, longest due first."""
        with self._database.reading() as connection:
            key = {"of": endpoint_id, "now": self._now(connection)}
            if connection.execute(_DUE.limit(1), key).first() is None:
                return []
        taken = {"mine": secrets.token_hex(16), "by": processes.this_process()}
        with self._database.writing() as connection:
            rows = connection.execute(_DUE.limit(most).with_for_update(skip_locked=True), key).all()
            if rows:
                connection.execute(_TAKE, [{"at": row.id, **taken} for row in rows])
        return [ClaimedMessage(row.id, endpoint_id, row.event, bytes(row.body), row.attempts + 1, taken["mine"]) for row in rows]

    def delivered(self, message: ClaimedMessage, answer: str) -> None:
        """Record a successful delivery."""
        self._note(message, DELIVERED, answer)

    def failed(self, message: ClaimedMessage, answer: str, wait: float | None) -> None:
        """Record a failed attempt: retried after `wait` seconds, or given up if None."""
        if wait is None:
            self._note(message, DEAD, answer)
            return
        with self._database.writing() as connection:
            connection.execute(_AGAIN, {**_key(message), "said": answer, "then": self._now(connection) + wait})

    def receiver_gone(self, message: ClaimedMessage, answer: str) -> None:
        """The receiver wants no more messages: end the endpoint, together with all messages for it."""
        with self._database.writing() as connection:
            moment = self._now(connection)
            if connection.execute(_NOTE, {**_key(message), "how": DEAD, "said": answer, "now": moment}).rowcount:
                end(connection, message.endpoint_id, answer, moment)
        self._database.listeners.forget()

    def _note(self, message: ClaimedMessage, state: str, answer: str) -> None:
        with self._database.writing() as connection:
            connection.execute(_NOTE, {**_key(message), "how": state, "said": answer, "now": self._now(connection)})

    def dead(self) -> list[DeadLetter]:
        """The dead letters, oldest first."""
        with self._database.reading() as connection:
            return [DeadLetter(*row) for row in connection.execute(_LETTERS)]

    def given_up(self, most: int, before: str | None = None) -> list[DeadLetter]:
        """At most that many dead letters, newest first, made before the one with this id."""
        statement = _GIVEN_UP if before is None else _GIVEN_UP.where(messages.c.id < before)
        with self._database.reading() as connection:
            return [DeadLetter(*row) for row in connection.execute(statement.limit(most))]

    def count_given_up(self) -> int:
        """How many dead letters there are."""
        with self._database.reading() as connection:
            return int(connection.execute(_MANY_DEAD).scalar_one())

    def counts(self) -> dict[tuple[str, str], int]:
        """The number of messages per endpoint and state."""
        with self._database.reading() as connection:
            return {(row.endpoint_id, row.state): row.many for row in connection.execute(_COUNTS)}

    def send_again(self, which: str) -> int:
        """Deliver a finished message, or all dead letters of an endpoint, once more under the same id and with all attempts; returns
        how many. None are sent for an ended endpoint.
        """
        with self._database.writing() as connection:
            return int(connection.execute(_ANEW, {"of": which, "now": self._now(connection)}).rowcount)

    def prune(self) -> None:
        """Delete messages delivered a week ago or given up three months ago; give up messages that were written for an endpoint just
        as it ended.
        """
        with self._database.writing() as connection:
            moment = self._now(connection)
            connection.execute(_FORSAKEN, {"now": moment})
            connection.execute(_FORGET, {"how": DELIVERED, "before": moment - KEPT_DELIVERED})
            connection.execute(_FORGET, {"how": DEAD, "before": moment - KEPT_DEAD})


def _key(message: ClaimedMessage) -> dict[str, object]:
    return {"at": message.id, "mine": message.holder}


_NOW: Any = bindparam("now")
_OF: Any = bindparam("of")
_DUE = (
    select(messages.c.id, messages.c.event, messages.c.body, messages.c.attempts)
    .where(
        messages.c.endpoint_id == _OF,
        messages.c.state == WAITING,
        messages.c.due <= _NOW,
        messages.c.holder.is_(None),
    )
    .order_by(messages.c.due)
)
_TAKE = messages.update().where(messages.c.id == bindparam("at")).values(
    holder=bindparam("mine"), process=bindparam("by"), attempts=messages.c.attempts + 1
)  # fmt: skip
_MINE = (messages.c.id == bindparam("at"), messages.c.state == WAITING, messages.c.holder == bindparam("mine"))
_FREED = {"holder": None, "process": None}
_HELD = select(messages.c.id, messages.c.holder, messages.c.process).where(messages.c.holder.is_not(None))
_FREE = messages.update().where(*_MINE).values(_FREED)
_NOTE = messages.update().where(*_MINE).values(state=bindparam("how"), answer=bindparam("said"), ended=_NOW, **_FREED)
_AGAIN = messages.update().where(*_MINE).values(due=bindparam("then"), answer=bindparam("said"), **_FREED)
_LETTERS = (
    select(*(messages.c[name] for name in DeadLetter._fields))
    .where(messages.c.state == DEAD)
    .order_by(messages.c.created_at, messages.c.id)
)
_GIVEN_UP = select(*(messages.c[name] for name in DeadLetter._fields)).where(messages.c.state == DEAD).order_by(messages.c.id.desc())
_MANY_DEAD = select(func.count()).select_from(messages).where(messages.c.state == DEAD)
_COUNTS = select(messages.c.endpoint_id, messages.c.state, func.count().label("many")).group_by(messages.c.endpoint_id, messages.c.state)
_ENDED = select(webhook_endpoints.c.id).where(webhook_endpoints.c.removed_at.is_not(None))
_ANEW = (
    messages.update()
    .where(
        or_(
            (messages.c.id == _OF) & messages.c.state.in_((DEAD, DELIVERED)),
            (messages.c.endpoint_id == _OF) & (messages.c.state == DEAD),
        ),
        messages.c.endpoint_id.not_in(_ENDED),
    )
    .values(state=WAITING, attempts=0, due=_NOW, ended=None, **_FREED)
)
_FORSAKEN = (
    messages.update()
    .where(messages.c.state == WAITING, messages.c.endpoint_id.in_(_ENDED))
    .values(state=DEAD, answer="the endpoint was ended", ended=_NOW, **_FREED)
)
_FORGET = messages.delete().where(messages.c.state == bindparam("how"), messages.c.ended < bindparam("before"))
