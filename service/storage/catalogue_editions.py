"""Stores the complete tables that quotes were made with, by version, so that old quotes can be recomputed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select
from sqlalchemy.dialects import postgresql, sqlite

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage.database import Database
from service.storage.records import moment
from service.storage.tables import editions, in_force


class Edition(NamedTuple):
    """Identifies tables: the content versions of the parts and of the prices, as in a quote's provenance."""

    catalogue: str
    prices: str


class Editions:
    """The editions in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def content(self, edition: Edition) -> dict[str, str] | None:
        """The files of an edition, name to text; None if it is not stored."""
        with self._database.reading() as connection:
            packed = connection.execute(_CONTENT, edition._asdict()).scalar_one_or_none()
        return None if packed is None else json.read(unpack(packed))

    def current(self) -> Edition | None:
        """The edition in force; a single lookup by key."""
        with self._database.reading() as connection:
            row = connection.execute(_CURRENT).one_or_none()
        return None if row is None else Edition(*row)

    def keep(self, edition: Edition, files: Mapping[str, str]) -> None:
        """Store a checked edition without putting it in force."""
        with self._database.writing() as connection:
            _keep(connection, edition, files)

    def put_in_force(self, edition: Edition, files: Mapping[str, str]) -> None:
        """Store a checked edition and put it in force for every process."""
        with self._database.writing() as connection:
            versions = _keep(connection, edition, files)
            connection.execute(_PUT[connection.dialect.name], [{"place": 1, "since": moment(), **versions}])


def _keep(connection: Connection, edition: Edition, files: Mapping[str, str]) -> dict[str, str]:
    versions = {"catalogue_version": edition.catalogue, "price_version": edition.prices}
    row = {**versions, "stored_at": moment(), "content": pack(json.write(dict(files)))}
    connection.execute(_KEEP[connection.dialect.name], [row])
    return versions


_KEEP = {
    "sqlite": sqlite.insert(editions).on_conflict_do_nothing(),
    "postgresql": postgresql.insert(editions).on_conflict_do_nothing(),
}
_PLACE = [in_force.c.place]
_SQLITE, _POSTGRESQL = sqlite.insert(in_force), postgresql.insert(in_force)
_PUT = {
    "sqlite": _SQLITE.on_conflict_do_update(index_elements=_PLACE, set_=dict(_SQLITE.excluded)),
    "postgresql": _POSTGRESQL.on_conflict_do_update(index_elements=_PLACE, set_=dict(_POSTGRESQL.excluded)),
}
_CONTENT = select(editions.c.content).where(
    editions.c.catalogue_version == bindparam("catalogue"), editions.c.price_version == bindparam("prices")
)
_CURRENT = select(in_force.c.catalogue_version, in_force.c.price_version)
