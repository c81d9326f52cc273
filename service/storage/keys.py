"""Keys and the secrets of links in the database: of a key its SHA-256, never the key."""

from __future__ import annotations

import secrets
from typing import Any, NamedTuple

from sqlalchemy import bindparam, or_, select

from service.guard.keys import Key, Kind, Scope
from service.storage.database import Database
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
        """All keys, revoked ones too, oldest first."""
        with self._database.reading() as connection:
            return [_key(row) for row in connection.execute(_EVERY)]

    def live(self) -> list[Key]:
        """The keys that are not revoked."""
        now = moment()
        return [key for key in self.every() if key.live(now)]

    def add(self, key: Key, instead_of: Key | None = None, until: str | None = None) -> None:
        """Keep a key; with `instead_of` revoke that one in the same transaction, at once or at the moment `until`."""
        with self._database.writing() as connection:
            connection.execute(api_keys.insert(), [_row(key)])
            if instead_of is not None:
                connection.execute(_REVOKE, {"of": instead_of.id, "at": until or moment()})

    def revoke(self, key_id: str) -> None:
        """Revoke a key from this moment on."""
        with self._database.writing() as connection:
            connection.execute(_REVOKE, {"of": key_id, "at": moment()})

    def used(self, key_id: str, day: str) -> None:
        """Note the last day on which a key was used."""
        with self._database.writing() as connection:
            connection.execute(_USED, {"of": key_id, "day": day})

    def secrets(self) -> list[LinkSecret]:
        """The link secrets that are not withdrawn, oldest first."""
        with self._database.reading() as connection:
            return [LinkSecret(row.id, bytes(row.secret)) for row in connection.execute(_SECRETS)]

    def make_secret(self, *, withdraw: bool = False) -> int:
        """Make a link secret, with `withdraw` in place of all there were; returns how many were withdrawn."""
        with self._database.writing() as connection:
            count: int = connection.execute(_WITHDRAW, {"at": moment()}).rowcount if withdraw else 0
            row = {"id": secrets.token_hex(6), "secret": secrets.token_bytes(32), "created": moment()}
            connection.execute(link_secrets.insert(), [row])
        return count


_EVERY = select(api_keys).order_by(api_keys.c.created, api_keys.c.id)
_REVOKE = api_keys.update().where(api_keys.c.id == bindparam("of")).values(revoked=bindparam("at"))
_USED = (
    api_keys.update()
    .where(api_keys.c.id == bindparam("of"), or_(api_keys.c.last_used.is_(None), api_keys.c.last_used < bindparam("day")))
    .values(last_used=bindparam("day"))
)
_SECRETS = (
    select(link_secrets.c.id, link_secrets.c.secret)
    .where(link_secrets.c.withdrawn.is_(None))
    .order_by(link_secrets.c.created, link_secrets.c.id)
)
_WITHDRAW = link_secrets.update().where(link_secrets.c.withdrawn.is_(None)).values(withdrawn=bindparam("at"), secret=b"")


def _key(row: Any) -> Key:
    scopes, origins = frozenset(map(Scope, row.scopes.split())), frozenset(row.origins.split())
    return Key(row.id, Kind(row.kind), row.name, row.owner, row.digest, scopes, origins, row.created, row.revoked, row.last_used)


def _row(key: Key) -> dict[str, object]:
    return {
        "id": key.id,
        "kind": key.kind.value,
        "name": key.name,
        "owner": key.owner,
        "digest": key.digest,
        "scopes": " ".join(sorted(key.scopes)),
        "origins": " ".join(sorted(key.origins)),
        "created": key.created,
    }
