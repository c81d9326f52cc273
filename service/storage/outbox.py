"""Transactional outbox: messages are written in the transaction they report on, so nothing stored goes unreported and nothing rolled
back is reported.

Subscriptions are read at most once a second, in whatever transaction is open, so without subscribers an event costs only a look at
the clock.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select

from service.lifecycle.events import EventType, body
from service.storage.clock import moment_in
from service.storage.ids import new_id
from service.storage.records import moment
from service.storage.tables import webhook_endpoints, webhook_messages

LOOK_SECONDS = 1.0
WAITING, DELIVERED, DEAD = "waiting", "delivered", "dead"
Data = Mapping[str, Any]


class Listeners:
    """The endpoints to be notified, as known to one process; a new endpoint may miss the events of its first second."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._look_at = clock, 0.0
        self._known: dict[str, frozenset[str]] = {}

    def of(self, connection: Connection, event: EventType) -> list[str]:
        """The ids of the endpoints subscribed to an event."""
        now = self._clock()
        if now >= self._look_at:
            self._known = {row.id: frozenset(row.event_types.split()) for row in connection.execute(_LIVE)}
            self._look_at = now + LOOK_SECONDS
        return [each for each, wanted in self._known.items() if event in wanted]

    def forget(self) -> None:
        """Read the subscriptions again at the next event."""
        self._look_at = 0.0

    def notify(self, connection: Connection, event: EventType, data: Callable[[], Data]) -> None:
        """Write a message for each endpoint subscribed to the event. `data` is only called if there is one."""
        to = self.of(connection, event)
        if to:
            write(connection, to, event, [data()])


def write(connection: Connection, to: Iterable[str], event: EventType, each: Iterable[Data]) -> None:
    """Write one message per endpoint and data item."""
    at = moment()
    connection.execute(
        webhook_messages.insert().values(due=moment_in(connection)),
        [
            {
                "id": new_id(),
                "endpoint_id": endpoint,
                "event": event.value,
                "created_at": at,
                "body": body(event, at, data),
                "state": WAITING,
                "attempts": 0,
            }
            for data in each
            for endpoint in to
        ],
    )


_LIVE = select(webhook_endpoints.c.id, webhook_endpoints.c.event_types).where(webhook_endpoints.c.removed_at.is_(None))
