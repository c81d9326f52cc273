"""The lifecycle of stored quotes: each step, in one transaction, changes the status and adds an entry to the history."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

from msgspec.structs import replace as replace_struct
from sqlalchemy import BindParameter, Connection, bindparam, func, select

from pricing.document import written_standing
from pricing.model import Standing
from pricing.settling import carried, standing_of
from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.lifecycle.built import any_failed, built_step
from service.lifecycle.events import TOLD, EventType, quote_data
from service.lifecycle.statuses import Step, after
from service.storage import entries
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.quotes import NoQuote, Packed, insert, one
from service.storage.records import Stored, moment
from service.storage.tables import as_built, events, quotes

Judge = Callable[[Stored], None]


class Event(NamedTuple):
    """An entry in a quote's history. `occurred_at` is RFC 3339 in UTC, `type` an EventType; `by` as given, `key` the name of the key."""

    occurred_at: str
    type: str
    by: str | None = None
    note: str | None = None
    key: str | None = None


class Change(NamedTuple):
    """What a step changes besides the status: the quote's standing, further steps to take at once, each with its event, and additional events."""

    standing: Standing | None = None
    then: tuple[tuple[Step, Event], ...] = ()
    events: tuple[Event, ...] = ()


def _nothing(_: Stored) -> Change:
    return Change()


class Lifecycles:
    """The lifecycles of the quotes in one database. `today` returns the shop's date and is called within the transaction."""

    def __init__(self, database: Database, today: Callable[[], date]) -> None:
        self._database, self._today = database, today

    def take(self, quote_id: str, step: Step, event: Event | None, judge: Judge, change: Callable[[Stored], Change] = _nothing) -> Stored:
        """Take a step and return the quote after it. `judge` receives the locked quote and may raise; `change` returns what else the step
        changes. Raises NoQuote, NotAllowed.
        """
        with self._database.writing() as connection:
            return self._moved(connection, quote_id, step, event, judge, change)

    def revise(self, quote_id: str, packed: Packed, judge: Judge) -> Stored:
        """Issue the next revision, which supersedes the quote and takes over the settlements of findings that have not changed. Raises NoQuote,
        NotAllowed.
        """
        with self._database.writing() as connection:
            superseded = Event(moment(), EventType.SUPERSEDED.value, key=packed.key)
            before = self._moved(connection, quote_id, Step.REVISE, superseded, judge)
            standing = carried(before.quote(), packed.quote) if before.standing_version else None
            return insert(connection, self._database.listeners, packed, before.number, before.revision + 1, standing)

    def correct(self, quote_id: str, packed: Packed, event: Event, judge: Judge) -> Stored:
        """Issue a revision that takes over the acceptance. Raises NoQuote, NotAllowed."""
        with self._database.writing() as connection:
            superseded = Event(event.occurred_at, EventType.SUPERSEDED.value, key=packed.key)
            before = self._moved(connection, quote_id, Step.CORRECT, superseded, judge)
            quote = before.quote()
            standing = replace_struct(carried(quote, packed.quote), accepted=standing_of(quote).accepted)
            made = insert(connection, self._database.listeners, packed, before.number, before.revision + 1, standing)
            return self._moved(connection, made.id, Step.ACCEPT, event, lambda _: None)

    def record_built(self, quote_id: str, record: Mapping[str, Any], by: str | None, key: str | None) -> bytes:
        """Store a record of finished assemblies and return it as stored. Once the latest record of each piece passes, the quote is built.
        Raises NoQuote, NotAllowed.
        """
        record = {"id": new_id(), "recorded_at": moment(), **record}
        content = json.write(record)
        with self._database.writing() as connection:
            built = Event(record["recorded_at"], EventType.AS_BUILT.value, by, key=key)
            now = self._moved(connection, quote_id, Step.RECORD_BUILT, built, lambda _: None)
            connection.execute(as_built.insert(), [{"id": record["id"], "quote_id": quote_id, "document": pack(content)}])
            records = [json.read(unpack(row)) for row in connection.execute(_BUILT, {"of": quote_id}).scalars()]
            quantities = {each.tag: each.quantity for each in now.quote().assemblies if each.readiness != "hold"}
            step = built_step(now.status, quantities, records)
            if step is not None:
                event = Event(record["recorded_at"], (EventType.BUILT if step is Step.FINISH else EventType.REOPENED).value, by, key=key)
                now = self._moved(connection, quote_id, step, event, lambda _: None)
            entries.refresh(connection, now, any_failed(records))
        return content

    def end_links(self, quote_id: str, event: Event) -> None:
        """Invalidate every link to the quote that has been made so far. Raises NoQuote."""
        with self._database.writing() as connection:
            stored = one(connection, quote_id, hold=True)
            if stored is None:
                raise NoQuote(quote_id)
            connection.execute(_END_LINKS, {"of": quote_id})
            self._note(connection, stored, event)

    def built(self, quote_id: str) -> list[bytes]:
        """The stored records of finished assemblies, oldest first."""
        with self._database.reading() as connection:
            rows = connection.execute(_BUILT, {"of": quote_id}).scalars().all()
        return [unpack(row) for row in rows]

    def history(self, quote_id: str) -> list[Event]:
        """All events, oldest first: the issue, then each step. Raises NoQuote."""
        with self._database.reading() as connection:
            stored = one(connection, quote_id)
            if stored is None:
                raise NoQuote(quote_id)
            created, key = connection.execute(_CREATED, {"of": quote_id}).one()
            steps = [Event(*row) for row in connection.execute(_EVENTS, {"of": quote_id})]
        return [Event(created, EventType.ISSUED.value, key=key), *steps]

    def _moved(
        self,
        connection: Connection,
        quote_id: str,
        step: Step,
        event: Event | None,
        judge: Judge,
        change: Callable[[Stored], Change] = _nothing,
    ) -> Stored:
        stored = one(connection, quote_id, hold=True)
        if stored is None:
            raise NoQuote(quote_id)
        now = stored.on(self._today())
        before, status = now.status, after(now.status, step)
        judge(now)
        changed = change(now)
        if status != before:
            connection.execute(_MOVE, {"of": quote_id, "to": status.value})
        now = replace(now, status=status.value)
        if changed.standing is not None:
            now = replace(now, standing=written_standing(changed.standing), standing_version=now.standing_version + 1)
            connection.execute(_STAND, {"of": quote_id, "now": now.standing, "version": now.standing_version})
        if now.status != before or changed.standing is not None:
            entries.refresh(connection, now)
        for each in (*([] if event is None else [event]), *changed.events):
            self._note(connection, now, each)
        for further, its_event in changed.then:
            now = self._moved(connection, quote_id, further, its_event, lambda _: None)
        return now

    def _note(self, connection: Connection, now: Stored, event: Event) -> None:
        sequence = connection.execute(_COUNT, {"of": now.id}).scalar_one() + 1
        connection.execute(events.insert(), [{"quote_id": now.id, "sequence": sequence, **event._asdict()}])

        def data() -> dict[str, Any]:
            priced = connection.execute(_PRICED, {"of": now.id}).one()
            return quote_data(now.id, now.number, now.revision, now.status, priced.currency, priced.payable)

        if EventType(event.type) in TOLD:
            self._database.listeners.notify(connection, EventType(event.type), data)


_OF: BindParameter[str] = bindparam("of")
_MOVE = quotes.update().where(quotes.c.id == _OF).values(status=bindparam("to"))
_END_LINKS = quotes.update().where(quotes.c.id == _OF).values(link_generation=quotes.c.link_generation + 1)
_PRICED = select(quotes.c.currency, quotes.c.payable).where(quotes.c.id == _OF)
_COUNT = select(func.count()).select_from(events).where(events.c.quote_id == _OF)
_EVENTS = select(*(events.c[name] for name in Event._fields)).where(events.c.quote_id == _OF).order_by(events.c.sequence)
_STAND = quotes.update().where(quotes.c.id == _OF).values(standing=bindparam("now"), standing_version=bindparam("version"))
_CREATED = select(quotes.c.created_at, quotes.c.key).where(quotes.c.id == _OF)
_BUILT = select(as_built.c.document).where(as_built.c.quote_id == _OF).order_by(as_built.c.id)
