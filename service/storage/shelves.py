"""The shelf in the database: what is there, and each movement in one transaction, one after the other.

Until anything moved, the shelf is that of the tables in force (`seed`). The first movement copies it here, and from then on only movements and
counts change it.
"""

from __future__ import annotations

import gzip
from collections.abc import Callable, Iterable, Mapping
from dataclasses import astuple, fields
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from pricing.catalogue.rows import StockRow
from service import json
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.numbers import next_tag
from service.storage.records import moment
from service.storage.tables import movements, shelf, shelf_version

Rows = tuple[StockRow, ...]
Change = Callable[[Rows, Callable[[], str]], tuple[Rows, Mapping[str, Any]]]
NUMBERS = frozenset({"length", "price", "price_per_metre", "touch"})
NAMES = tuple(field.name for field in fields(StockRow))


class Shelf(NamedTuple):
    """The rows and the version they are of; version 0 is the tables' own."""

    version: int
    rows: Rows


class Movement(NamedTuple):
    """A movement as it was answered."""

    id: str
    what: str
    plan_id: str | None
    undone: bool
    document: bytes

    def said(self) -> dict[str, Any]:
        """What was answered."""
        found: dict[str, Any] = json.read(gzip.decompress(self.document))
        return found


class NotMoved(Exception):
    """A plan that is taken already, or was not taken and cannot be undone; says so."""


class Shelves:
    """The shelf of one database, remembered by its version. `seed`: the rows of the tables in force."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._kept = Shelf(0, ())

    def now(self, seed: Rows) -> Shelf:
        """What is on the shelf; one look-up by key where nothing moved since."""
        with self._database.reading() as connection:
            version = _version(connection)
            if not version:
                return Shelf(0, seed)
            if self._kept.version != version:
                self._kept = _shelf(connection, version)
            return self._kept

    def move(self, what: str, plan_id: str | None, seed: Rows, change: Change) -> dict[str, Any]:
        """Change the shelf. `change` sees it held, gives the rows after and what is to be said, and may raise: then nothing is changed.

        Raises NotMoved.
        """
        with self._database.writing() as connection:
            _hold(connection)
            _once(connection, what, plan_id)
            version = _version(connection)
            before = _shelf(connection, version) if version else Shelf(0, seed)
            after, told = change(before.rows, lambda: next_tag(connection))
            said = {"id": new_id(), "at": moment(), "what": what, "plan": plan_id, "version": before.version + 1, **told}
            _write(connection, after)
            connection.execute(update(shelf_version).values(version=before.version + 1))
            row = {**{name: said[name] for name in ("id", "at", "what")}, "plan_id": plan_id, "undone": 0}
            connection.execute(movements.insert(), [{**row, "document": gzip.compress(json.write(said), 1)}])
            if what == "undone":
                connection.execute(_UNDONE, {"of": plan_id})
        return said

    def taken(self, plan_id: str) -> Movement | None:
        """The movement by which a plan was taken, unless it was undone."""
        with self._database.reading() as connection:
            return taken(connection, plan_id)

    def movements(self, most: int) -> list[dict[str, Any]]:
        """The newest movements, newest first."""
        query = select(*_MOVEMENT).order_by(movements.c.id.desc()).limit(most)
        with self._database.reading() as connection:
            return [{**(each := Movement(*row)).said(), "undone": bool(each.undone)} for row in connection.execute(query)]


_MOVEMENT = [movements.c.id, movements.c.what, movements.c.plan_id, movements.c.undone, movements.c.document]
_TAKEN = select(*_MOVEMENT).where(movements.c.plan_id == bindparam("of"), movements.c.what == "taken", movements.c.undone == 0)
_UNDONE = update(movements).where(movements.c.plan_id == bindparam("of"), movements.c.what == "taken").values(undone=1)
_ALL = select(*(shelf.c[name] for name in NAMES)).order_by(shelf.c.id)
_FIRST = {"place": 1, "version": 0}
_KEEP = {
    "sqlite": sqlite.insert(shelf_version).values(_FIRST).on_conflict_do_nothing(),
    "postgresql": postgresql.insert(shelf_version).values(_FIRST).on_conflict_do_nothing(),
}


def taken(connection: Connection, plan_id: str) -> Movement | None:
    """The movement by which a plan was taken, unless it was undone."""
    row = connection.execute(_TAKEN, {"of": plan_id}).one_or_none()
    return None if row is None else Movement(*row)


def _once(connection: Connection, what: str, plan_id: str | None) -> None:
    if plan_id is None:
        return
    held = taken(connection, plan_id)
    if what == "taken" and held is not None:
        raise NotMoved(f"This plan was taken already, at {held.said()['at']} (movement {held.id}). Undo that first, or make another plan.")
    if what == "undone" and held is None:
        raise NotMoved("This plan is not taken: there is nothing to undo.")


def _shelf(connection: Connection, version: int) -> Shelf:
    return Shelf(version, tuple(_row(dict(each)) for each in connection.execute(_ALL).mappings()))


def _version(connection: Connection) -> int:
    found: int | None = connection.execute(select(shelf_version.c.version)).scalar_one_or_none()
    return found or 0


def _hold(connection: Connection) -> None:
    """Movements go one after the other: whoever holds the one row of the version is alone."""
    connection.execute(_KEEP[connection.dialect.name])
    connection.execute(select(shelf_version.c.version).with_for_update())


def _write(connection: Connection, rows: Iterable[StockRow]) -> None:
    connection.execute(delete(shelf))
    if written := [_written(row) for row in rows]:
        connection.execute(shelf.insert(), written)


def _written(row: StockRow) -> dict[str, object]:
    cells = dict(zip(NAMES, astuple(row), strict=True))
    return {name: str(value) if name in NUMBERS and value is not None else value for name, value in cells.items()}


def _row(cells: Mapping[str, Any]) -> StockRow:
    read: dict[str, Any] = {name: Decimal(value) if name in NUMBERS and value is not None else value for name, value in cells.items()}
    return StockRow(**read)
