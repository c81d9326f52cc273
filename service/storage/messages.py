"""Messages on their way: claimed under a lease like the chunks of a batch, so that what a killed worker held is taken up by another.

A message is waiting, delivered or dead. Whoever claims it delivers it outside any transaction and then notes what came of it; that asks for the
claim, so of two who hold one message, since the lease of the first had lapsed, only the later notes anything.
"""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from typing import Any, NamedTuple

from sqlalchemy import bindparam, func, or_, select

from service.storage.database import Database
from service.storage.endpoints import end
from service.storage.outbox import DEAD, DELIVERED, WAITING
from service.storage.tables import webhook_endpoints, webhook_messages

messages = webhook_messages
DAY = 86400.0
KEPT_DELIVERED, KEPT_DEAD = 7 * DAY, 90 * DAY


class Held(NamedTuple):
    """A message that is being delivered; `attempt` counts from 1."""

    id: str
    endpoint_id: str
    event: str
    body: bytes
    attempt: int
    holder: str


class Letter(NamedTuple):
    """A dead letter: `answer` says what came of the last attempt."""

    id: str
    endpoint_id: str
    event: str
    created: str
    attempts: int
    answer: str | None


class Messages:
    """The messages of one database. `clock`: seconds since 1970, of machines that agree on the time to a second."""

    def __init__(self, database: Database, lease: float, clock: Callable[[], float] = time.time) -> None:
        self._database, self.lease, self._clock = database, lease, clock

    def claim(self, endpoint_id: str, most: int) -> list[Held]:
        """Up to `most` messages for an endpoint that are due and nobody holds, those due longest first."""
        now = self._clock()
        key = {"of": endpoint_id, "now": now}
        with self._database.reading() as connection:
            if connection.execute(_DUE.limit(1), key).first() is None:
                return []
        holder = secrets.token_hex(16)
        with self._database.writing() as connection:
            rows = connection.execute(_DUE.limit(most).with_for_update(skip_locked=True), key).all()
            if rows:
                connection.execute(_TAKE, [{"at": row.id, "mine": holder, "lapse": now + self.lease} for row in rows])
        return [Held(row.id, endpoint_id, row.event, bytes(row.body), row.attempts + 1, holder) for row in rows]

    def give_back(self, held: Held) -> None:
        """It was not tried."""
        with self._database.writing() as connection:
            connection.execute(_GIVE_BACK, _key(held))

    def delivered(self, held: Held, answer: str) -> None:
        """It arrived."""
        self._note(held, DELIVERED, answer)

    def failed(self, held: Held, answer: str, again: float | None) -> None:
        """It did not; to be tried again at that moment (seconds since 1970), or given up."""
        if again is None:
            self._note(held, DEAD, answer)
            return
        with self._database.writing() as connection:
            connection.execute(_AGAIN, {**_key(held), "said": answer, "then": again})

    def gone(self, held: Held, answer: str) -> None:
        """Nobody wants it there any more: the endpoint is ended with all that was to go there."""
        with self._database.writing() as connection:
            if connection.execute(_NOTE, {**_key(held), "how": DEAD, "said": answer, "now": self._clock()}).rowcount:
                end(connection, held.endpoint_id, answer, self._clock())
        self._database.listeners.forget()

    def _note(self, held: Held, state: str, answer: str) -> None:
        with self._database.writing() as connection:
            connection.execute(_NOTE, {**_key(held), "how": state, "said": answer, "now": self._clock()})

    def dead(self) -> list[Letter]:
        """What was given up, oldest first."""
        with self._database.reading() as connection:
            return [Letter(*row) for row in connection.execute(_LETTERS)]

    def counts(self) -> dict[tuple[str, str], int]:
        """How many messages of each endpoint are in each state."""
        with self._database.reading() as connection:
            return {(row.endpoint_id, row.state): row.many for row in connection.execute(_COUNTS)}

    def send_again(self, which: str) -> int:
        """Deliver a message that ended, or every dead letter of an endpoint, under the same id with all attempts anew; how many. None for an
        endpoint that is ended."""
        with self._database.writing() as connection:
            return int(connection.execute(_ANEW, {"of": which, "now": self._clock()}).rowcount)

    def prune(self) -> None:
        """Forget what was delivered a week ago and given up three months ago; give up what was told to an endpoint as it ended."""
        now = self._clock()
        with self._database.writing() as connection:
            connection.execute(_FORSAKEN, {"now": now})
            connection.execute(_FORGET, {"how": DELIVERED, "before": now - KEPT_DELIVERED})
            connection.execute(_FORGET, {"how": DEAD, "before": now - KEPT_DEAD})


def _key(held: Held) -> dict[str, object]:
    return {"at": held.id, "mine": held.holder}


_NOW: Any = bindparam("now")
_OF: Any = bindparam("of")
_DUE = (
    select(messages.c.id, messages.c.event, messages.c.body, messages.c.attempts)
    .where(
        messages.c.endpoint_id == _OF,
        messages.c.state == WAITING,
        messages.c.due <= _NOW,
        or_(messages.c.until.is_(None), messages.c.until <= _NOW),
    )
    .order_by(messages.c.due)
)
_TAKE = messages.update().where(messages.c.id == bindparam("at")).values(
    holder=bindparam("mine"), until=bindparam("lapse"), attempts=messages.c.attempts + 1
)  # fmt: skip
_MINE = (messages.c.id == bindparam("at"), messages.c.state == WAITING, messages.c.holder == bindparam("mine"))
_FREED = {"holder": None, "until": None}
_GIVE_BACK = messages.update().where(*_MINE).values(attempts=messages.c.attempts - 1, **_FREED)
_NOTE = messages.update().where(*_MINE).values(state=bindparam("how"), answer=bindparam("said"), ended=_NOW, **_FREED)
_AGAIN = messages.update().where(*_MINE).values(due=bindparam("then"), answer=bindparam("said"), **_FREED)
_LETTERS = (
    select(*(messages.c[name] for name in Letter._fields)).where(messages.c.state == DEAD).order_by(messages.c.created, messages.c.id)
)
_COUNTS = select(messages.c.endpoint_id, messages.c.state, func.count().label("many")).group_by(messages.c.endpoint_id, messages.c.state)
_ENDED = select(webhook_endpoints.c.id).where(webhook_endpoints.c.removed.is_not(None))
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
