"""API keys and link secrets in the database; of each key, only its SHA-256 is stored."""

from __future__ import annotations

import logging
import secrets
from datetime import UTC, datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, or_, select
from sqlalchemy.exc import SQLAlchemyError

from service.credentials.keys import Key, Kind, Scope
from service.storage.clock import now
from service.storage.database import Database
from service.storage.numbers import next_generation
from service.storage.records import moment
from service.storage.tables import api_keys, link_secrets


class LinkSecret(NamedTuple):
    """A secret that links are signed with."""

    id: str
    secret: bytes


class Keys:
    """The keys and link secrets of one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def every(self) -> list[Key]:
        """All keys, including revoked ones, oldest first."""
        with self._database.reading() as connection:
            return [_key(row) for row in connection.execute(_EVERY)]

    def live(self) -> list[Key]:
        """The keys that have not been revoked, by the database's own clock."""
        with self._database.reading() as connection:
            found = [_key(row) for row in connection.execute(_NOT_ENDED)]
            now = self._moment(connection) if any(key.revoked_at for key in found) else ""
        lapsed = [key.id for key in found if not key.live(now)]
        if lapsed:
            self._end_lapsed(lapsed)
        return [key for key in found if key.id not in lapsed]

    def add(self, key: Key, instead_of: Key | None = None, keep: timedelta = timedelta()) -> None:
        """Store a key; with `instead_of`, revoke that one in the same transaction, at once or after `keep`."""
        with self._database.writing() as connection:
            connection.execute(api_keys.insert(), [_row(key)])
            if instead_of is not None and keep:
                connection.execute(_LIMIT, {"of": instead_of.id, "at": self._moment(connection, keep)})
            elif instead_of is not None:
                self._end(connection, instead_of.id)

    def revoke(self, key_id: str) -> None:
        """Revoke a key permanently, whatever the clocks say."""
        with self._database.writing() as connection:
            self._end(connection, key_id)

    def _end(self, connection: Connection, key_id: str) -> None:
        connection.execute(_END, {"of": key_id, "at": self._moment(connection), "generation": next_generation(connection)})

    def _end_lapsed(self, lapsed: list[str]) -> None:
        """Mark lapsed keys as ended, so that they stay so even if a clock is set back."""
        try:
            with self._database.writing() as connection:
                for each in lapsed:
                    self._end(connection, each)
        except SQLAlchemyError:
            logging.getLogger("service").warning("an expired key could not be revoked yet; it is refused nevertheless")

    def _moment(self, connection: Connection, later: timedelta = timedelta()) -> str:
        at = datetime.fromtimestamp(now(connection), UTC) + later
        return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def used(self, key_id: str, day: str) -> None:
        """Record the last day on which a key was used."""
        with self._database.writing() as connection:
            connection.execute(_USED, {"of": key_id, "day": day})

    def secrets(self) -> list[LinkSecret]:
        """The link secrets that have not been withdrawn, oldest first."""
        with self._database.reading() as connection:
            return [LinkSecret(row.id, bytes(row.secret)) for row in connection.execute(_SECRETS)]

    def make_secret(self, *, withdraw: bool = False) -> int:
        """Create a link secret; with `withdraw`, it replaces all existing ones. Returns how many were withdrawn."""
        with self._database.writing() as connection:
            count: int = connection.execute(_WITHDRAW, {"at": moment()}).rowcount if withdraw else 0
            row = {"id": secrets.token_hex(6), "secret": secrets.token_bytes(32), "created_at": moment()}
            connection.execute(link_secrets.insert(), [row])
        return count


_EVERY = select(api_keys).order_by(api_keys.c.created_at, api_keys.c.id)
_NOT_ENDED = _EVERY.where(api_keys.c.ended.is_(None))
_LIMIT = api_keys.update().where(api_keys.c.id == bindparam("of")).values(revoked_at=bindparam("at"))
_END = (
    api_keys.update()
    .where(api_keys.c.id == bindparam("of"), api_keys.c.ended.is_(None))
    .values(revoked_at=bindparam("at"), ended=bindparam("generation"))
)
_USED = (
    api_keys.update()
    .where(api_keys.c.id == bindparam("of"), or_(api_keys.c.last_used.is_(None), api_keys.c.last_used < bindparam("day")))
    .values(last_used=bindparam("day"))
)
_SECRETS = (
    select(link_secrets.c.id, link_secrets.c.secret)
    .where(link_secrets.c.withdrawn_at.is_(None))
    .order_by(link_secrets.c.created_at, link_secrets.c.id)
)
_WITHDRAW = link_secrets.update().where(link_secrets.c.withdrawn_at.is_(None)).values(withdrawn_at=bindparam("at"), secret=b"")


def _key(row: Any) -> Key:
    scopes, origins = frozenset(map(Scope, row.scopes.split())), frozenset(row.origins.split())
    kind = Kind(row.kind)
    return Key(row.id, kind, row.name, row.owner, row.digest, scopes, origins, row.created_at, row.revoked_at, row.last_used, row.ended)


def _row(key: Key) -> dict[str, object]:
    return {
        "id": key.id,
        "kind": key.kind.value,
        "name": key.name,
        "owner": key.owner,
        "digest": key.digest,
        "scopes": " ".join(sorted(key.scopes)),
        "origins": " ".join(sorted(key.origins)),
        "created_at": key.created_at,
    }
