"""What happens to a stored quote, each step in one transaction: its status moves, and its history gains a line."""

from __future__ import annotations

import gzip
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, Connection, bindparam, func, select

from service import json
from service.hooks.events import OF_STATUS, quote_data
from service.life.statuses import Status, Step, after
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.quotes import NoQuote, Packed, insert, one
from service.storage.records import Stored, moment
from service.storage.tables import as_built, events, quotes

Judge = Callable[[Stored], None]


class Event(NamedTuple):
    """A line of a quote's history. `at` RFC 3339 in UTC; `who` as said."""

    at: str
    what: str
    who: str | None = None
    note: str | None = None


class Lives:
    """The lives of the quotes of one database. `today` tells the shop's day when it is needed: within the transaction."""

    def __init__(self, database: Database, today: Callable[[], date]) -> None:
        self._database, self._today = database, today

    def take(self, quote_id: str, step: Step, event: Event, judge: Judge) -> Stored:
        """Take a step. `judge` sees the quote as it stands, held, and may raise. Raises NoQuote, NotAllowed."""
        with self._database.writing() as connection:
            return self._moved(connection, quote_id, step, event, judge)

    def revise(self, quote_id: str, packed: Packed, judge: Judge) -> Stored:
        """Issue the next revision in place of a quote. Raises NoQuote, NotAllowed."""
        with self._database.writing() as connection:
            before = self._moved(connection, quote_id, Step.REVISE, Event(moment(), "superseded"), judge)
            return insert(connection, self._database.listeners, packed, before.number, before.revision + 1)

    def record_built(self, quote_id: str, record: Mapping[str, Any], who: str | None) -> bytes:
        """Keep a record of finished assemblies; returns it as kept. Raises NoQuote, NotAllowed."""
        record = {"id": new_id(), "recorded": moment(), **record}
        said = json.write(record)
        with self._database.writing() as connection:
            self._moved(connection, quote_id, Step.RECORD_BUILT, Event(record["recorded"], "built", who), lambda _: None)
            connection.execute(as_built.insert(), [{"id": record["id"], "quote_id": quote_id, "document": gzip.compress(said, 1)}])
        return said

    def built(self, quote_id: str) -> list[bytes]:
        """The records of finished assemblies, as kept, oldest first."""
        with self._database.reading() as connection:
            rows = connection.execute(_BUILT, {"of": quote_id}).scalars().all()
        return [gzip.decompress(row) for row in rows]

    def history(self, quote_id: str) -> list[Event]:
        """Everything that happened, oldest first: the issue, then each step. Raises NoQuote."""
        with self._database.reading() as connection:
            stored = one(connection, quote_id)
            if stored is None:
                raise NoQuote(quote_id)
            created = connection.execute(_CREATED, {"of": quote_id}).scalar_one()
            steps = [Event(*row) for row in connection.execute(_EVENTS, {"of": quote_id})]
        return [Event(created, "issued"), *steps]

    def _moved(self, connection: Connection, quote_id: str, step: Step, event: Event, judge: Judge) -> Stored:
        stored = one(connection, quote_id, hold=True)
        if stored is None:
            raise NoQuote(quote_id)
        now = stored.on(self._today())
        status = after(now.status, step)
        judge(now)
        if status != now.status:
            connection.execute(_MOVE, {"of": quote_id, "to": status.value})
            self._tell(connection, stored, status)
        sequence = connection.execute(_COUNT, {"of": quote_id}).scalar_one() + 1
        connection.execute(events.insert(), [{"quote_id": quote_id, "sequence": sequence, **event._asdict()}])
        return replace(now, status=status.value)

    def _tell(self, connection: Connection, stored: Stored, status: Status) -> None:
        def data() -> dict[str, Any]:
            priced = connection.execute(_PRICED, {"of": stored.id}).one()
            return quote_data(stored.id, stored.number, stored.revision, status.value, priced.currency, priced.payable)

        self._database.listeners.tell(connection, OF_STATUS[status], data)


_OF: BindParameter[str] = bindparam("of")
_MOVE = quotes.update().where(quotes.c.id == _OF).values(status=bindparam("to"))
_PRICED = select(quotes.c.currency, quotes.c.payable).where(quotes.c.id == _OF)
_COUNT = select(func.count()).select_from(events).where(events.c.quote_id == _OF)
_EVENTS = select(events.c.at, events.c.what, events.c.who, events.c.note).where(events.c.quote_id == _OF).order_by(events.c.sequence)
_CREATED = select(quotes.c.created).where(quotes.c.id == _OF)
_BUILT = select(as_built.c.document).where(as_built.c.quote_id == _OF).order_by(as_built.c.id)
