"""One customer's data in the database: found, given out, and erased in one transaction."""

from __future__ import annotations

import gzip
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, func, select, text, update

from service import json
from service.life import people
from service.storage.connect import is_sqlite
from service.storage.database import Database
from service.storage.quotes import one
from service.storage.reading import Kept, kept_quotes
from service.storage.records import moment, sha256_of
from service.storage.renditions import forget
from service.storage.tables import answers, as_built, batch_lines, cutting_plans, events, quotes

Json = dict[str, Any]


class Found(NamedTuple):
    """A quote of a customer, with the last day anything happened to it (ISO)."""

    kept: Kept
    last_day: str


class People:
    """The customers in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def quotes_of(self, who: str) -> list[Found]:
        """Every issue of a customer's quotes, by name or address, erased ones beside. Raises SQLAlchemyError."""
        return [self._found(kept) for kept in kept_quotes(self._database) if people.is_of(kept.document["customer"], who)]

    def quiet_since(self, day: str) -> list[Found]:
        """Quotes that still name someone and to which nothing happened on or after `day` (ISO); their last day of validity counts too."""
        named = (self._found(kept) for kept in kept_quotes(self._database) if any(kept.document["customer"].values()))
        return [each for each in named if each.last_day < day]

    def _found(self, kept: Kept) -> Found:
        with self._database.reading() as connection:
            last = connection.execute(_LAST, {"of": kept.id}).scalar_one_or_none() or ""
        return Found(kept, max(kept.document["issued_on"], kept.document["valid_until"], last[:10]))

    def given_out(self, found: Collection[Found]) -> Iterator[Json]:
        """Everything kept with each quote: what was asked, what was said, what happened, what was built, how it was to be cut."""
        for kept, _ in found:
            with self._database.reading() as connection:
                happened = [
                    {str(name): value for name, value in row.items()} for row in connection.execute(_EVENTS, {"of": kept.id}).mappings()
                ]
                built = [_read(row) for row in connection.execute(_BUILT, {"of": kept.id}).scalars()]
                plans = [_read(row) for row in connection.execute(_PLANS, {"of": kept.id}).scalars()]
            quote = {"id": kept.id, "number": kept.number, "revision": kept.revision, "status": kept.status, "checksum": kept.checksum}
            yield {
                "quote": {**quote, **kept.document},
                "request": json.read(kept.request),
                "events": happened,
                "as_built": built,
                "cutting_plans": plans,
            }

    def erase(self, found: Collection[Found], day: str) -> None:
        """Erase the person from these quotes and from everything kept with them, all or nothing."""
        with self._database.writing() as connection:
            if is_sqlite(str(self._database.engine().url)):
                connection.execute(text("PRAGMA secure_delete = ON"))
            for kept, _ in found:
                _erase_quote(connection, kept, day)
            _erase_shared_plans(connection, {kept.number for kept, _ in found})
            _erase_answers(connection, {kept.id for kept, _ in found})
        _forget_old_pages(self._database)


_OF: Any = bindparam("of")
_LAST = select(func.max(events.c.at)).where(events.c.quote_id == _OF)
_EVENTS = select(events).where(events.c.quote_id == _OF).order_by(events.c.sequence)
_BUILT = select(as_built.c.document).where(as_built.c.quote_id == _OF).order_by(as_built.c.id)
_PLANS = select(cutting_plans.c.document).where(cutting_plans.c.quote_id == _OF)
_SEQUENCE = select(func.count()).select_from(events).where(events.c.quote_id == _OF)


def _erase_quote(connection: Connection, kept: Kept, day: str) -> None:
    document = people.erased_quote(kept.document, day)
    checksum = sha256_of({**document, "id": kept.id, "number": kept.number, "revision": kept.revision})
    values = {"document": _pack(document), "request": _pack(people.erased_request(json.read(kept.request))), "checksum": checksum}
    connection.execute(update(quotes).where(quotes.c.id == kept.id).values(**values))
    connection.execute(update(events).where(events.c.quote_id == kept.id).values(who=None, note=None))
    forget(connection, kept.id)
    connection.execute(update(batch_lines).where(batch_lines.c.quote_id == kept.id).values(name=None))
    _rewrite(connection, as_built, as_built.c.quote_id == kept.id, people.erased_record)
    _rewrite(connection, cutting_plans, cutting_plans.c.quote_id == kept.id, people.erased_plan)
    sequence = connection.execute(_SEQUENCE, {"of": kept.id}).scalar_one() + 1
    event = {
        "quote_id": kept.id,
        "sequence": sequence,
        "at": moment(),
        "what": people.ERASED,
        "note": f"the checksum before was {kept.checksum}",
    }
    connection.execute(events.insert(), [event])


def _erase_shared_plans(connection: Connection, numbers: Collection[str]) -> None:
    """Plans of many quotes: only the pieces of these are made nameless."""

    def change(plan: Json) -> Json | None:
        return people.erased_plan(plan, numbers) if people.names_any(plan, numbers) else None

    _rewrite(connection, cutting_plans, cutting_plans.c.quote_id.is_(None), change)


def _erase_answers(connection: Connection, ids: Collection[str]) -> None:
    """What is kept to be answered again: a quote is answered as it is now, anything else about it is forgotten."""
    for row in connection.execute(select(answers.c.owner, answers.c.key, answers.c.body).where(answers.c.body.is_not(None))).all():
        body = gzip.decompress(row.body).decode(errors="replace")
        about = next((each for each in ids if each in body), None)
        if about is None:
            continue
        this = (answers.c.owner == row.owner) & (answers.c.key == row.key)
        now = one(connection, about) if body.startswith(f'{{"id":"{about}"') else None
        if now is None:
            connection.execute(answers.delete().where(this))
        else:
            connection.execute(update(answers).where(this).values(body=gzip.compress(now.body(), 1)))


def _rewrite(connection: Connection, table: Any, which: Any, change: Callable[[Json], Json | None]) -> None:
    for row in connection.execute(select(table.c.id, table.c.document).where(which)).all():
        changed = change(_read(row.document))
        if changed is not None:
            connection.execute(update(table).where(table.c.id == row.id).values(document=_pack(changed)))


def _forget_old_pages(database: Database) -> None:
    """SQLite: what the log and free pages still hold is overwritten. PostgreSQL: the old rows' space is given free for use."""
    with database.engine().connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        if is_sqlite(str(database.engine().url)):
            raw: Any = connection.connection.driver_connection
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            raw.execute("VACUUM")
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        else:
            for table in ("quotes", "events", "as_built", "cutting_plans", "renditions", "answers", "batch_lines"):
                connection.execute(text(f"VACUUM {table}"))


def _read(packed: bytes) -> Json:
    found: Json = json.read(gzip.decompress(packed))
    return found


def _pack(value: Mapping[str, Any] | Any) -> bytes:
    return gzip.compress(json.write(value), 1)
