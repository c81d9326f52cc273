"""Messages are written in the transaction of what they tell: nothing that was stored goes untold, and nothing is told that was undone.

Who listens is looked up at most once a second, in whatever transaction is at hand, so that telling nobody costs a look at a clock.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select

from service.hooks.events import Event, body
from service.storage.ids import new_id
from service.storage.records import moment
from service.storage.tables import webhook_endpoints, webhook_messages

LOOK_SECONDS = 1.0
WAITING, DELIVERED, DEAD = "waiting", "delivered", "dead"
Data = Mapping[str, Any]


class Listeners:
    """The endpoints that are told, as one process knows them: one that is added is told of what happens a second later."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._look_at = clock, 0.0
        self._known: dict[str, frozenset[str]] = {}

    def of(self, connection: Connection, event: Event) -> list[str]:
        """Ids of the endpoints that want an event."""
        now = self._clock()
        if now >= self._look_at:
            self._known = {row.id: frozenset(row.events.split()) for row in connection.execute(_LIVE)}
            self._look_at = now + LOOK_SECONDS
        return [each for each, wanted in self._known.items() if event in wanted]

    def forget(self) -> None:
        """Look again at the next event."""
        self._look_at = 0.0

    def tell(self, connection: Connection, event: Event, data: Callable[[], Data]) -> None:
        """Write a message for each endpoint that wants it. `data` is made only where there is one."""
        to = self.of(connection, event)
        if to:
            write(connection, to, event, [data()])


def write(connection: Connection, to: Iterable[str], event: Event, each: Iterable[Data]) -> None:
    """Write a message of each datum for each of these endpoints."""
    now, at = time.time(), moment()
    connection.execute(
        webhook_messages.insert(),
        [
            {
                "id": new_id(),
                "endpoint_id": endpoint,
                "event": event.value,
                "created": at,
                "body": body(event, at, data),
                "state": WAITING,
                "attempts": 0,
                "due": now,
            }
            for data in each
            for endpoint in to
        ],
    )


_LIVE = select(webhook_endpoints.c.id, webhook_endpoints.c.events).where(webhook_endpoints.c.removed.is_(None))
