"""Reports expired quotes. `expired` is not stored but follows from the shop's date, so a task has to notice that a day is over.

Its progress is a single row, updated in the transaction that writes the messages, so each quote is reported once, whoever notices
it. A quote is locked while it is examined, so one accepted at the last second is reported either as accepted or as expired.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, and_, bindparam, or_, select
from sqlalchemy.dialects import postgresql, sqlite

from service.lifecycle.events import EventType, quote_data
from service.lifecycle.statuses import Status
from service.storage.database import Database
from service.storage.endpoints import EXPIRED, end_of
from service.storage.outbox import write
from service.storage.tables import chores, quotes

AT_ONCE = 200


class Expiries:
    """The expired quotes in one database. `today`: the shop's date, asked for within the transaction."""

    def __init__(self, database: Database, today: Callable[[], date], at_once: int = AT_ONCE) -> None:
        self._database, self._today, self._at_once = database, today, at_once

    def report(self) -> int:
        """Report every quote whose last day is over and that has not been reported yet; returns their number."""
        count = 0
        while self._due():
            with self._database.writing() as connection:
                count += self._some(connection)
        return count

    def _due(self) -> bool:
        with self._database.reading() as connection:
            if not self._database.listeners.of(connection, EventType.EXPIRED):
                return False
            reached = connection.execute(_REACHED).scalar_one_or_none()
        return reached is None or reached < end_of(self._today() - timedelta(days=1))

    def _some(self, connection: Connection) -> int:
        over = end_of(self._today() - timedelta(days=1))
        reached = connection.execute(_REACHED_HELD).scalar_one_or_none()
        if reached is None:
            connection.execute(_BEGIN[connection.dialect.name], {"name": EXPIRED, "reached": over})
            return 0
        if reached >= over:  # another worker was faster
            return 0
        day, _, last = reached.partition(" ")
        found = connection.execute(_PAGE.limit(self._at_once), {"day": day, "last": last, "over": over[:10]}).all()
        rows = connection.execute(_OPEN, {"these": [each.id for each in found]}).all() if found else []
        to = self._database.listeners.of(connection, EventType.EXPIRED)
        if rows and to:
            write(connection, to, EventType.EXPIRED, [quote_data(*row[:3], Status.EXPIRED.value, *row[3:]) for row in rows])
        now = f"{found[-1].valid_until} {found[-1].id}" if len(found) == self._at_once else over
        connection.execute(chores.update().where(chores.c.name == EXPIRED).values(reached=now))
        return len(rows)


_REACHED = select(chores.c.reached).where(chores.c.name == EXPIRED)
_REACHED_HELD = _REACHED.with_for_update()
_BEGIN = {name: kind.insert(chores).on_conflict_do_nothing() for name, kind in (("sqlite", sqlite), ("postgresql", postgresql))}
_DAY: Any = bindparam("day")
_PAGE = (
    select(quotes.c.id, quotes.c.valid_until)
    .where(
        quotes.c.status == Status.ISSUED.value,
        quotes.c.valid_until <= bindparam("over"),
        or_(quotes.c.valid_until > _DAY, and_(quotes.c.valid_until == _DAY, quotes.c.id > bindparam("last"))),
    )
    .order_by(quotes.c.valid_until, quotes.c.id)
)
_OPEN = (
    select(quotes.c.id, quotes.c.number, quotes.c.revision, quotes.c.currency, quotes.c.payable)
    .where(quotes.c.id.in_(bindparam("these", expanding=True)), quotes.c.status == Status.ISSUED.value)
    .order_by(quotes.c.valid_until, quotes.c.id)
    .with_for_update()
)
