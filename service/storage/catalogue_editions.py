"""Stores the complete tables that quotes were made with, by version, and a log of which edition is in force from which day.

Among the log entries whose day has come, the one with the latest day applies; among entries for the same day, the last one written.
Entries are never changed: to revert to an earlier edition, put it in force again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, delete, func, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage.database import Database
from service.storage.records import moment
from service.storage.tables import editions, editions_in_force

MOST_DRAFTS = 20
TRIES = 5
ACCEPTED = "accepted_doubts.csv"  # stored in a column of its own, since it contains people's names
#: What put an edition in force. A later start may replace an entry made by a start, but never one made by a person.
START, PERSON = "start", "person"


class Edition(NamedTuple):
    """Identifies an edition of the tables by the content versions of its parts and of its prices, as in a quote's provenance."""

    catalogue: str
    prices: str

    @property
    def id(self) -> str:
        """Both versions as one text."""
        return f"{self.catalogue}-{self.prices}"


class Attribution(NamedTuple):
    """Who put an edition in force (`by`, as given), why (`words`), with which key, and whether a person or a start of the service did it."""

    by: str | None = None
    words: str | None = None
    key: str | None = None
    means: str = PERSON


NOBODY = Attribution()


class EditionEntry(NamedTuple):
    """A log entry: the edition in force from a day on. `change` is its number, from 1; `from_day` is ISO, or empty for entries of releases
    that did not record days.
    """

    change: int
    edition: Edition
    from_day: str
    put_at: str
    attribution: Attribution


class StoredEdition(NamedTuple):
    """A stored edition without its content. `name` is empty if it could not be read; `key` is the name of the API key it was sent with."""

    edition: Edition
    name: str
    stored_at: str
    key: str | None
    draft: bool


class PutMeanwhile(Exception):
    """Another edition has been put in force since the caller read the log; `put` is the newest entry, None if there is none."""

    def __init__(self, put: EditionEntry | None) -> None:
        self.put = put
        what = "nothing has been put in force" if put is None else f"{put.edition.id} was put in force at {put.put_at}"
        super().__init__(what)


class Editions:
    """The editions in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def content(self, edition: Edition) -> dict[str, str] | None:
        """The files of an edition, name to text; None if it is not stored."""
        with self._database.reading() as connection:
            row = connection.execute(_CONTENT, edition._asdict()).one_or_none()
        if row is None:
            return None
        files: dict[str, str] = json.read_own(unpack(row.content))
        return files if row.accepted is None else {**files, ACCEPTED: row.accepted}

    def current(self, day: date = date.max) -> Edition | None:
        """The edition in force on a day; without a day, the edition of the entry with the latest day."""
        with self._database.reading() as connection:
            return _on(connection, day)

    def near(self, day: date) -> tuple[Edition | None, Edition | None]:
        """The editions in force on a day and on the day after."""
        with self._database.reading() as connection:
            return _on(connection, day), _on(connection, day + timedelta(1))

    def decided(self, day: date) -> EditionEntry | None:
        """The entry that determines the edition in force on a day; None if there is none."""
        with self._database.reading() as connection:
            row = connection.execute(_ENTRY_ON, {"day": day.isoformat()}).one_or_none()
        return None if row is None else _put(row)

    def entries(self) -> list[EditionEntry]:
        """All entries, newest first."""
        with self._database.reading() as connection:
            return [_put(row) for row in connection.execute(_ENTRIES.order_by(editions_in_force.c.change.desc()))]

    def last_change(self) -> int:
        """The number of the newest entry; 0 if there is none."""
        with self._database.reading() as connection:
            return int(connection.execute(_LAST).scalar_one())

    def newest(self, limit: int) -> list[StoredEdition]:
        """The stored editions, newest first."""
        with self._database.reading() as connection:
            return [_stored_edition(row) for row in connection.execute(_KEPT.order_by(editions.c.stored_at.desc()).limit(limit))]

    def find(self, edition: Edition) -> StoredEdition | None:
        """One stored edition without its content; None if it is not stored."""
        with self._database.reading() as connection:
            row = connection.execute(_KEPT.where(_THIS), edition._asdict()).one_or_none()
        return None if row is None else _stored_edition(row)

    def keep(self, edition: Edition, files: Mapping[str, str]) -> None:
        """Store a checked edition without putting it in force."""
        with self._database.writing() as connection:
            _keep(connection, edition, files)
            connection.execute(_NO_DRAFT, edition._asdict())

    def keep_draft(self, edition: Edition, files: Mapping[str, str], key: str | None) -> bool:
        """Store a checked edition as a draft, which nothing uses yet; False if the edition is already stored. Drafts beyond the newest
        `MOST_DRAFTS` are deleted.
        """
        with self._database.writing() as connection:
            if connection.execute(_KEPT.where(_THIS), edition._asdict()).one_or_none() is not None:
                connection.execute(_REDRAFTED, {**edition._asdict(), **_content(files)})
                return False
            _keep(connection, edition, files, draft=1, key=key)
            drafts = select(editions.c.catalogue_version, editions.c.price_version).where(editions.c.draft == 1)
            for old in connection.execute(drafts.order_by(editions.c.stored_at.desc()).offset(MOST_DRAFTS)).all():
                connection.execute(delete(editions).where(_THIS), Edition(*old)._asdict())
            return True

    def put_in_force(
        self,
        edition: Edition,
        files: Mapping[str, str],
        from_day: date | None = None,
        attribution: Attribution = NOBODY,
        *,
        seen: int | None = None,
    ) -> EditionEntry:
        """Store a checked edition and put it in force for all processes, from a day on; without a day, from before any day. `seen`: the number
        of the newest entry the caller has read. Raises PutMeanwhile if there is a newer one.
        """
        with self._database.writing() as connection:
            _keep(connection, edition, files)
            connection.execute(_DECIDED, {**edition._asdict(), **_content(files)})
            for _ in range(TRIES):
                last = connection.execute(_LAST).scalar_one()
                if seen is not None and last != seen:
                    break
                put = EditionEntry(last + 1, edition, from_day.isoformat() if from_day else "", moment(), attribution)
                if connection.execute(_PUT[connection.dialect.name], [_row(put)]).rowcount:
                    return put
            newest = connection.execute(_ENTRIES.order_by(editions_in_force.c.change.desc()).limit(1)).one_or_none()
            raise PutMeanwhile(None if newest is None else _put(newest))


def entry_status(put: EditionEntry, puts: Iterable[EditionEntry], day: date) -> str:
    """The status of an entry on a day: `in_force`, `coming`, `past`, or `replaced` if a later entry has the same day."""
    every, today = list(puts), day.isoformat()
    if any(each.from_day == put.from_day and each.change > put.change for each in every):
        return "replaced"
    if put.from_day > today:
        return "coming"
    later = any(put.from_day < each.from_day <= today for each in every)
    return "past" if later else "in_force"


def _on(connection: Connection, day: date) -> Edition | None:
    row = connection.execute(_VERSIONS_ON, {"day": day.isoformat()}).one_or_none()
    return None if row is None else Edition(*row)


def _keep(connection: Connection, edition: Edition, files: Mapping[str, str], draft: int = 0, key: str | None = None) -> None:
    row: dict[str, Any] = {"catalogue_version": edition.catalogue, "price_version": edition.prices, "stored_at": moment()}
    row |= {"content": _packed(files), "accepted": files.get(ACCEPTED), "name": name_in(files), "key": key, "draft": draft}
    connection.execute(_KEEP[connection.dialect.name], [row])


def _packed(files: Mapping[str, str]) -> bytes:
    return pack(json.write({name: text for name, text in files.items() if name != ACCEPTED}))


def _content(files: Mapping[str, str]) -> dict[str, Any]:
    return {"packed": _packed(files), "said": files.get(ACCEPTED)}


def name_in(files: Mapping[str, str]) -> str:
    """The edition's name as given in its tables; empty if they give none."""
    import csv

    rows = list(csv.reader(files.get("edition.csv", "").splitlines()))
    header = [each.strip() for each in rows[0]] if rows else []
    place = header.index("name") if "name" in header else len(header)
    return next((row[place].strip()[:300] for row in rows[1:] if len(row) > place), "")


def _put(row: Any) -> EditionEntry:
    attribution = Attribution(row.by, row.words, row.key, row.means)
    return EditionEntry(row.change, Edition(row.catalogue_version, row.price_version), row.from_day, row.put_at, attribution)


def _row(put: EditionEntry) -> dict[str, Any]:
    versions = {"catalogue_version": put.edition.catalogue, "price_version": put.edition.prices}
    return {"change": put.change, **versions, "from_day": put.from_day, "put_at": put.put_at, **put.attribution._asdict()}


def _stored_edition(row: Any) -> StoredEdition:
    return StoredEdition(Edition(row.catalogue_version, row.price_version), row.name or "", row.stored_at, row.key, bool(row.draft))


_THIS = (editions.c.catalogue_version == bindparam("catalogue")) & (editions.c.price_version == bindparam("prices"))
_KEEP = {
    "sqlite": sqlite.insert(editions).on_conflict_do_nothing(),
    "postgresql": postgresql.insert(editions).on_conflict_do_nothing(),
}
# Editions of equal versions make equal quotes, so tables that are not part of the version (stock, accepted doubts) may be replaced.
_DECIDED = update(editions).where(_THIS).values(draft=0, content=bindparam("packed"), accepted=bindparam("said"))
_REDRAFTED = update(editions).where(_THIS, editions.c.draft == 1).values(content=bindparam("packed"), accepted=bindparam("said"))
_NO_DRAFT = update(editions).where(_THIS, editions.c.draft == 1).values(draft=0)
_PUT = {
    "sqlite": sqlite.insert(editions_in_force).on_conflict_do_nothing(),
    "postgresql": postgresql.insert(editions_in_force).on_conflict_do_nothing(),
}
_CONTENT = select(editions.c.content, editions.c.accepted).where(_THIS)
_KEPT = select(
    editions.c.catalogue_version, editions.c.price_version, editions.c.name, editions.c.stored_at, editions.c.key, editions.c.draft
)
_ENTRIES = select(editions_in_force)
_LAST = select(func.coalesce(func.max(editions_in_force.c.change), 0))
_DAYS = (editions_in_force.c.from_day.desc(), editions_in_force.c.change.desc())
_ENTRY_ON = _ENTRIES.where(editions_in_force.c.from_day <= bindparam("day")).order_by(*_DAYS).limit(1)
_VERSIONS_ON = _ENTRY_ON.with_only_columns(editions_in_force.c.catalogue_version, editions_in_force.c.price_version)
