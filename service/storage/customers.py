"""Finds, exports and erases a customer's data in the database; an erasure is one transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, func, or_, select, text, update

from service.encoding import json
from service.encoding.gzip import pack, pack_object, unpack
from service.lifecycle import erasure
from service.lifecycle.events import EventType
from service.lifecycle.personal_words import PersonalWords
from service.storage import entries, personal_data
from service.storage.database import Database
from service.storage.engines import is_sqlite
from service.storage.personal_data import ErasureScope, Trace
from service.storage.quotes import one
from service.storage.records import moment, sha256_of
from service.storage.stored_quotes import StoredIssue, kept_quotes
from service.storage.tables import as_built, cutting_plans, events, quotes

Json = dict[str, Any]


class CustomerQuote(NamedTuple):
    """A customer's quote, with the last day on which anything happened to it (ISO)."""

    kept: StoredIssue
    last_day: str


class CustomerData(NamedTuple):
    """Everything found for one customer, or for all customers without recent activity: their quotes, and data stored elsewhere."""

    quotes: list[CustomerQuote]
    elsewhere: list[Trace]
    scope: ErasureScope


class Customers:
    """The customers in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def find(self, who: str) -> CustomerData:
        """Find a customer by name or address; data already erased is left out. A quote without a name belongs to whoever accepted or
        declined it, and an issue without a name to the customer named in another issue of its number. Raises SQLAlchemyError.
        """
        answered = self._answered(who)
        kept = [each for each in kept_quotes(self._database) if _is_of(each, who, answered)]
        ids, numbers = {each.id for each in kept}, {each.number for each in kept}
        for number in sorted(numbers):
            kept += [each for each in kept_quotes(self._database, number) if each.id not in ids and not _has_name(each)]
        return self._customer_data([self._with_last_day(each) for each in kept if "erased_on" not in each.document or _has_name(each)], who)

    def inactive_since(self, day: str) -> CustomerData:
        """Find what still names someone and has had no activity on or after `day` (ISO); a quote's last day of validity counts as
        activity.
        """
        found = [self._with_last_day(each) for each in kept_quotes(self._database) if "erased_on" not in each.document]
        return self._customer_data([each for each in found if each.last_day < day and self._speaks(each.kept)], None, day)

    def _customer_data(self, found: list[CustomerQuote], who: str | None, before: str = "") -> CustomerData:
        words = erasure.words_of(((kept.document, json.read(kept.request)) for kept, _ in found), who)
        scope = ErasureScope(frozenset(kept.id for kept, _ in found), frozenset(kept.number for kept, _ in found), words, who, before)
        return CustomerData(found, personal_data.find_traces(self._database, scope), scope)

    def _answered(self, who: str) -> set[str]:
        with self._database.reading() as connection:
            return {row.quote_id for row in connection.execute(_ANSWERED) if erasure.is_of({"name": row.by}, who)}

    def _speaks(self, kept: StoredIssue) -> bool:
        with self._database.reading() as connection:
            standing = connection.execute(_STANDING, {"of": kept.id}).scalar_one()
            question = standing is not None and erasure.has_questions(json.read(standing))
            spoken = erasure.has_personal_data(kept.document) or question
            return spoken or connection.execute(_SPOKEN, {"of": kept.id}).first() is not None

    def _with_last_day(self, kept: StoredIssue) -> CustomerQuote:
        with self._database.reading() as connection:
            last = connection.execute(_LAST, {"of": kept.id}).scalar_one_or_none() or ""
        return CustomerQuote(kept, max(kept.document["issued_on"], kept.document["valid_until"], last[:10]))

    def export(self, person: CustomerData) -> Json:
        """Everything stored about a person: for each quote its request, document, records, plans and events; then other data, by table."""
        return {"quotes": [self._export(kept) for kept, _ in person.quotes], "elsewhere": [each.as_json() for each in person.elsewhere]}

    def _export(self, kept: StoredIssue) -> Json:
        with self._database.reading() as connection:
            happened = [
                {str(name): value for name, value in row.items()} for row in connection.execute(_EVENTS, {"of": kept.id}).mappings()
            ]
            built = [_read(row) for row in connection.execute(_BUILT, {"of": kept.id}).scalars()]
            plans = [_read(row) for row in connection.execute(_PLANS, {"of": kept.id}).scalars()]
            standing = connection.execute(_STANDING, {"of": kept.id}).scalar_one()
        quote = {"id": kept.id, "number": kept.number, "revision": kept.revision, "status": kept.status, "checksum": kept.checksum}
        stands = {} if standing is None else json.read(standing)
        return {
            "quote": {**quote, **stands, **kept.document},
            "request": json.read(kept.request),
            "events": happened,
            "as_built": built,
            "cutting_plans": plans,
        }

    def erase(self, person: CustomerData, day: str) -> None:
        """Erase a person from everything that was found, all or nothing."""
        with self._database.writing() as connection:
            if is_sqlite(self._database.url):
                connection.execute(text("PRAGMA secure_delete = ON"))
            for kept, _ in person.quotes:
                _erase_quote(connection, kept, day, person.scope.words)
            personal_data.change(connection, person.elsewhere, person.scope)
            for kept, _ in person.quotes:
                _record_erasure(connection, kept)

    def forget_old_pages(self) -> bool:
        """Overwrite the erased data that SQLite's log and free pages still contain; False if other connections prevented it. For PostgreSQL,
        release the space of the old rows.
        """
        with self._database.engine().connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            if is_sqlite(self._database.url):
                return _rewritten(connection.connection.driver_connection)
            for table in {"quotes", "quote_entries", "quote_terms", *(place.table.name for place in personal_data.PLACES)}:
                connection.execute(text(f"VACUUM {table}"))
        return True


def _has_name(kept: StoredIssue) -> bool:
    return any(kept.document["customer"].values())


def _is_of(kept: StoredIssue, who: str, answered: Collection[str]) -> bool:
    if erasure.is_of(kept.document["customer"], who):
        return True
    return kept.id in answered and not _has_name(kept)


_OF: Any = bindparam("of")
_LAST = select(func.max(events.c.occurred_at)).where(events.c.quote_id == _OF)
_EVENTS = select(events).where(events.c.quote_id == _OF).order_by(events.c.sequence)
_BUILT = select(as_built.c.document).where(as_built.c.quote_id == _OF).order_by(as_built.c.id)
_STANDING = select(quotes.c.standing).where(quotes.c.id == _OF)
_PLANS = select(cutting_plans.c.document).where(or_(cutting_plans.c.of_quote == _OF, cutting_plans.c.quote_id == _OF))
_SEQUENCE = select(func.count()).select_from(events).where(events.c.quote_id == _OF)
_ANSWERED = select(events.c.quote_id, events.c.by).where(
    events.c.type.in_((EventType.ACCEPTED.value, EventType.DECLINED.value)), events.c.by.is_not(None)
)
_SPOKEN = select(events.c.sequence).where(
    events.c.quote_id == _OF, events.c.type != EventType.ERASED.value, or_(events.c.by.is_not(None), events.c.note.is_not(None))
)


def _erase_quote(connection: Connection, kept: StoredIssue, day: str, words: PersonalWords) -> None:
    document = erasure.erased_quote(kept.document, day, words)
    checksum = sha256_of(json.canonical({**document, "id": kept.id, "number": kept.number, "revision": kept.revision}))
    request = erasure.erased_request(json.read(kept.request), words)
    values = {"document": pack_object(json.write(document)), "request": pack(json.write(request)), "checksum": checksum}
    standing = connection.execute(_STANDING.with_for_update(), {"of": kept.id}).scalar_one()
    if standing is not None:
        values["standing"] = json.write(erasure.erased_standing(json.read(standing), words))
    connection.execute(update(quotes).where(quotes.c.id == kept.id).values(**values))
    changed = one(connection, kept.id)
    if changed is not None:
        entries.refresh(connection, changed)


def _record_erasure(connection: Connection, kept: StoredIssue) -> None:
    event = {
        "quote_id": kept.id,
        "sequence": connection.execute(_SEQUENCE, {"of": kept.id}).scalar_one() + 1,
        "occurred_at": moment(),
        "type": EventType.ERASED.value,
        "note": f"the checksum before was {kept.checksum}",
    }
    connection.execute(events.insert(), [event])


def _rewritten(raw: Any) -> bool:
    """Whether the whole file was rewritten and its log truncated."""
    try:
        raw.execute("VACUUM")
    except sqlite3.OperationalError:  # another connection held the file longer than the timeout
        return False
    busy, *_ = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    return not busy


def _read(packed: bytes) -> Json:
    found: Json = json.read(unpack(packed))
    return found
