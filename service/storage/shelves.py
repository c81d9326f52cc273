"""The shelf in the database: its contents, and stock movements, each in a transaction, one after the other.

Until the first movement, the shelf is that of the tables in force (`seed`). The first movement copies it here, and from then on
only movements and counts change it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import astuple, fields
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from pricing.rows import StockRow
from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage import waste
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.numbers import next_tag
from service.storage.records import moment
from service.storage.tables import movements, shelf, shelf_version

TAKE, REVERSAL, COUNT = "take", "reversal", "count"  # types of movements
Rows = tuple[StockRow, ...]
Change = Callable[[Rows, Callable[[], str]], tuple[Rows, Mapping[str, Any]]]
NUMBERS = frozenset({"length", "price", "price_per_metre", "touch"})
NAMES = tuple(field.name for field in fields(StockRow))


class Shelf(NamedTuple):
    """The rows and their version; version 0 is the tables' own."""

    version: int
    rows: Rows


class Movement(NamedTuple):
    """A stock movement, as the API returned it."""

    id: str
    type: str
    plan_id: str | None
    reversed: bool
    document: bytes

    def parsed(self) -> dict[str, Any]:
        """The movement as parsed JSON."""
        movement: dict[str, Any] = json.read_own(unpack(self.document))
        return movement


class NotMoved(Exception):
    """The plan has already been taken, or has not been taken and cannot be reversed, or the shelf has changed since; `code` says which."""

    def __init__(self, code: str, words: str) -> None:
        super().__init__(words)
        self.code = code


class Shelves:
    """The shelf of one database, cached by its version. `seed`: the rows of the tables in force."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._kept = Shelf(0, ())

    def now(self, seed: Rows) -> Shelf:
        """What is on the shelf; a single lookup by key if nothing has moved since."""
        with self._database.reading() as connection:
            version = _version(connection)
            if not version:
                return Shelf(0, seed)
            if self._kept.version != version:
                self._kept = _shelf(connection, version)
            return self._kept

    def move(self, type_: str, plan_id: str | None, seed: Rows, change: Change, seen: int | None = None) -> dict[str, Any]:
        """Change the shelf and return the movement. `change` receives the locked rows and returns the new rows and the movement's own fields;
        if it raises, nothing is changed. `seen`: the version that the shelf must still have. Raises NotMoved.
        """
        with self._database.writing() as connection:
            _hold(connection)
            _once(connection, type_, plan_id)
            version = _version(connection)
            if seen is not None and seen != version:
                words = f"The shelf has changed since it was counted: its version is now {version}, not {seen}. Nothing was changed: compare, and count again."
                raise NotMoved("moved_meanwhile", words)
            before = _shelf(connection, version) if version else Shelf(0, seed)
            after, own_fields = change(before.rows, lambda: next_tag(connection))
            movement = {
                "id": new_id(), "occurred_at": moment(), "type": type_, "plan_id": plan_id, "version": before.version + 1, **own_fields,
            }  # fmt: skip
            _write(connection, after)
            connection.execute(update(shelf_version).values(version=before.version + 1))
            row = {**{name: movement[name] for name in ("id", "occurred_at", "type", "plan_id")}, "reversed": 0}
            connection.execute(movements.insert(), [{**row, "document": pack(json.write(movement))}])
            if type_ == TAKE and plan_id is not None:
                waste.note(connection, plan_id, movement["occurred_at"][:10])
            if type_ == REVERSAL and plan_id is not None:
                connection.execute(_REVERSED, {"of": plan_id})
                waste.forget(connection, plan_id)
        return movement

    def take_of(self, plan_id: str) -> Movement | None:
        """The movement by which a plan was taken, unless it was reversed."""
        with self._database.reading() as connection:
            return take_of(connection, plan_id)

    def movements(self, most: int, plan_id: str | None = None) -> list[dict[str, Any]]:
        """The `most` latest movements, newest first; with `plan_id`, of that plan."""
        query = select(*_MOVEMENT).order_by(movements.c.id.desc()).limit(most)
        if plan_id is not None:
            query = query.where(movements.c.plan_id == plan_id)
        with self._database.reading() as connection:
            return [{**(each := Movement(*row)).parsed(), "reversed": bool(each.reversed)} for row in connection.execute(query)]


_MOVEMENT = [movements.c.id, movements.c.type, movements.c.plan_id, movements.c.reversed, movements.c.document]
_TAKEN = select(*_MOVEMENT).where(movements.c.plan_id == bindparam("of"), movements.c.type == TAKE, movements.c.reversed == 0)
_REVERSED = update(movements).where(movements.c.plan_id == bindparam("of"), movements.c.type == TAKE).values(reversed=1)
_ALL = select(*(shelf.c[name] for name in NAMES)).order_by(shelf.c.id)
_FIRST = {"place": 1, "version": 0}
_KEEP = {
    "sqlite": sqlite.insert(shelf_version).values(_FIRST).on_conflict_do_nothing(),
    "postgresql": postgresql.insert(shelf_version).values(_FIRST).on_conflict_do_nothing(),
}


def take_of(connection: Connection, plan_id: str) -> Movement | None:
    """The movement by which a plan was taken, unless it was reversed."""
    row = connection.execute(_TAKEN, {"of": plan_id}).one_or_none()
    return None if row is None else Movement(*row)


def _once(connection: Connection, type_: str, plan_id: str | None) -> None:
    if plan_id is None:
        return
    held = take_of(connection, plan_id)
    if type_ == TAKE and held is not None:
        words = f"This plan has already been taken, at {held.parsed()['occurred_at']} (movement {held.id}). Reverse that first, or make another plan."
        raise NotMoved("already_taken", words)
    if type_ == REVERSAL and held is None:
        raise NotMoved("not_taken", "This plan has not been taken: there is nothing to reverse.")


def _shelf(connection: Connection, version: int) -> Shelf:
    return Shelf(version, tuple(_row(dict(each)) for each in connection.execute(_ALL).mappings()))


def _version(connection: Connection) -> int:
    found: int | None = connection.execute(select(shelf_version.c.version)).scalar_one_or_none()
    return found or 0


def _hold(connection: Connection) -> None:
    """Serialise movements by locking the one row that holds the shelf's version."""
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
