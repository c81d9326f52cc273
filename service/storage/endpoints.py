"""Webhook endpoints in the database, with the secrets their messages are signed with."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable, Collection
from datetime import date, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select

from service.lifecycle.events import EventType
from service.storage.database import Database
from service.storage.outbox import DEAD, WAITING
from service.storage.records import moment
from service.storage.tables import chores, webhook_endpoints, webhook_messages

EXPIRED = "expired"  # name of the task that reports expired quotes


class Endpoint(NamedTuple):
    """A webhook endpoint. `secrets`: those to sign with now, newest first. `removed_at`: RFC 3339 in UTC, with the reason `why`."""

    id: str
    url: str
    events: tuple[str, ...]
    secrets: tuple[bytes, ...]
    created_at: str
    removed_at: str | None
    why: str | None


class Endpoints:
    """The endpoints in one database. `clock`: seconds since 1970."""

    def __init__(self, database: Database, clock: Callable[[], float] = time.time) -> None:
        self._database, self._clock = database, clock

    def every(self) -> list[Endpoint]:
        """All endpoints, including removed ones, oldest first."""
        with self._database.reading() as connection:
            return [_endpoint(row, self._clock()) for row in connection.execute(_EVERY)]

    def live(self) -> list[Endpoint]:
        """The endpoints that messages are sent to."""
        return [each for each in self.every() if each.removed_at is None]

    def add(self, url: str, events: Collection[EventType], secret: bytes, today: date) -> str:
        """Add an endpoint and return its id. The first one subscribed to expired quotes learns of those whose last day is `today` or
        later.
        """
        row = {"id": secrets.token_hex(6), "url": url, "event_types": " ".join(sorted(events)), "secret": secret, "created_at": moment()}
        with self._database.writing() as connection:
            if EventType.EXPIRED in events and not any(EventType.EXPIRED in each.event_types.split() for each in connection.execute(_LIVE)):
                connection.execute(chores.delete().where(chores.c.name == EXPIRED))
                connection.execute(chores.insert(), [{"name": EXPIRED, "reached": end_of(today - timedelta(days=1))}])
            connection.execute(webhook_endpoints.insert(), [row])
        self._database.listeners.forget()
        return str(row["id"])

    def remove(self, endpoint_id: str, why: str) -> None:
        """Remove an endpoint; its undelivered messages are given up for the same reason."""
        with self._database.writing() as connection:
            end(connection, endpoint_id, why, self._clock())
        self._database.listeners.forget()

    def rotate(self, endpoint_id: str, secret: bytes, until: float) -> None:
        """Sign with a new secret, and until then (seconds since 1970) also with the previous one."""
        with self._database.writing() as connection:
            before = connection.execute(select(webhook_endpoints.c.secret).where(_THIS), {"of": endpoint_id}).scalar_one()
            connection.execute(_ROTATE, {"of": endpoint_id, "new": secret, "old": before, "end": until})


def end_of(day: date) -> str:
    """The task's progress once every quote that was last valid on that day has been reported: sorts after every id."""
    return f"{day.isoformat()} ~"


def end(connection: Connection, endpoint_id: str, why: str, now: float) -> None:
    """End an endpoint and give up its undelivered messages."""
    connection.execute(_END, {"of": endpoint_id, "at": moment(), "because": why})
    connection.execute(_GIVE_UP, {"of": endpoint_id, "because": why, "now": now})


_OF: Any = bindparam("of")
_THIS = webhook_endpoints.c.id == _OF
_EVERY = select(webhook_endpoints).order_by(webhook_endpoints.c.created_at, webhook_endpoints.c.id)
_LIVE = select(webhook_endpoints.c.event_types).where(webhook_endpoints.c.removed_at.is_(None))
_END = webhook_endpoints.update().where(_THIS, webhook_endpoints.c.removed_at.is_(None)).values(
    removed_at=bindparam("at"), why=bindparam("because"), secret=b"", previous=None, previous_until=None
)  # fmt: skip
_GIVE_UP = (
    webhook_messages.update()
    .where(webhook_messages.c.endpoint_id == _OF, webhook_messages.c.state == WAITING)
    .values(state=DEAD, answer=bindparam("because"), ended=bindparam("now"), holder=None, process=None)
)
_ROTATE = (
    webhook_endpoints.update().where(_THIS).values(secret=bindparam("new"), previous=bindparam("old"), previous_until=bindparam("end"))
)


def _endpoint(row: Any, now: float) -> Endpoint:
    before = (bytes(row.previous),) if row.previous is not None and now < row.previous_until else ()
    return Endpoint(row.id, row.url, tuple(row.event_types.split()), (bytes(row.secret), *before), row.created_at, row.removed_at, row.why)
