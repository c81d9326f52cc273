"""Checks whether this process can make and store quotes; if not, names every reason."""

from __future__ import annotations

import logging
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import inspect, make_url, text
from sqlalchemy.exc import SQLAlchemyError

from pricing.errors import NoPrice, TableError
from service.engine.engine import Engine
from service.storage import Quotes, WrongSchema
from service.storage.engines import is_sqlite
from service.storage.tables import metadata

log = logging.getLogger("service")
_BUSY = ("locked", "busy")


class Reason(NamedTuple):
    """A reason for not being ready: a code, and a sentence saying what to do, without paths or passwords."""

    code: str
    words: str


def reasons(store: Quotes, engine: Engine, min_free_mb: int) -> list[Reason]:
    """Every reason for not being ready; empty if ready."""
    return [*_database(store), *_disk(store.url, min_free_mb), *_tables(engine)]


def _database(store: Quotes) -> Iterator[Reason]:
    try:
        store.ready()
        yield from _lost_tables(store)
        yield from _writable(store)
    except WrongSchema as error:
        yield Reason("schema", str(error))
    except (SQLAlchemyError, OSError):
        log.exception("the database does not respond")
        yield Reason("database_unreachable", "The database does not respond.")


def _lost_tables(store: Quotes) -> Iterator[Reason]:
    with store.reading() as connection:
        lost = sorted(metadata.tables.keys() - set(inspect(connection).get_table_names()))
    if lost:
        yield Reason("tables_lost", f"The database is missing the tables {', '.join(lost)}: restore a backup.")


def _writable(store: Quotes) -> Iterator[Reason]:
    """Begin a write transaction and roll it back. If another writer holds the lock, the database counts as writable."""
    words = "The database can be read but not written: check the file's permissions, or whether the server is a standby."
    with store.engine().connect() as connection:
        if not is_sqlite(store.url):
            if connection.execute(text("SHOW transaction_read_only")).scalar_one() == "on":
                yield Reason("database_read_only", words)
            return
        raw = connection.connection
        cursor = raw.cursor()
        try:
            cursor.execute("PRAGMA busy_timeout = 0")
            cursor.execute("BEGIN IMMEDIATE")
            cursor.execute("UPDATE alembic_version SET version_num = version_num")
            cursor.execute("ROLLBACK")
        except Exception as error:  # noqa: BLE001  # the driver's own classes, of which only the words tell what it is
            if not any(each in str(error) for each in _BUSY):
                yield Reason("database_read_only", words)
        finally:
            connection.invalidate()  # its busy timeout was set to zero


def _disk(url: str, least_mb: int) -> Iterator[Reason]:
    file = make_url(url).database
    if not is_sqlite(url) or not file or ":" in file:
        return
    try:
        free = shutil.disk_usage(Path(file).resolve().parent).free // 1_000_000
    except OSError:
        return  # there is no such directory: the database check has already reported it
    if free < least_mb:
        yield Reason("disk_full", f"The disk that holds the database has {free} MB free, less than {least_mb} MB: free some space.")


def _tables(engine: Engine) -> Iterator[Reason]:
    try:
        rates = engine.planner.prices.at(engine.today())
        if rates.terms and not rates.price_lists():
            yield Reason("no_prices", "No price list is in force today: load prices.")
    except (TableError, NoPrice):
        log.exception("the shop's tables have no terms or prices in force today")
        yield Reason("tables", "The shop's tables have no terms or prices in force today: load tables that do.")
