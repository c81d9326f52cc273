"""The tables that quotes were made with, kept whole by version, so that an old quote can be computed again."""

from __future__ import annotations

import gzip
from collections.abc import Mapping
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select
from sqlalchemy.dialects import postgresql, sqlite

from service import json
from service.storage.database import Database
from service.storage.records import moment
from service.storage.tables import editions, in_force


class Edition(NamedTuple):
    """Which tables: versions of the content of the parts and of the prices, as a quote's provenance names them."""

    catalogue: str
    prices: str


class Editions:
    """The editions in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def content(self, edition: Edition) -> dict[str, str] | None:
        """The files of an edition, name to text; None where it is not kept."""
        with self._database.reading() as connection:
            packed = connection.execute(_CONTENT, edition._asdict()).scalar_one_or_none()
        return None if packed is None else json.read(gzip.decompress(packed))

    def current(self) -> Edition | None:
        """The edition in force; one look-up by key."""
        with self._database.reading() as connection:
            row = connection.execute(_CURRENT).one_or_none()
        return None if row is None else Edition(*row)

    def keep(self, edition: Edition, files: Mapping[str, str]) -> None:
        """Keep an edition that was checked, without putting it in force."""
        with self._database.writing() as connection:
            _keep(connection, edition, files)

    def put_in_force(self, edition: Edition, files: Mapping[str, str]) -> None:
        """Keep an edition that was checked, and make it the one that every process quotes with."""
        with self._database.writing() as connection:
            versions = _keep(connection, edition, files)
            connection.execute(_PUT[connection.dialect.name], [{"place": 1, "since": moment(), **versions}])


def _keep(connection: Connection, edition: Edition, files: Mapping[str, str]) -> dict[str, str]:
    versions = {"catalogue_version": edition.catalogue, "price_version": edition.prices}
    row = {**versions, "stored": moment(), "content": gzip.compress(json.write(dict(files)))}
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
