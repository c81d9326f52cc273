"""Creates database engines. They are opened after the workers fork, since a connection shared by two processes breaks."""

from __future__ import annotations

import sqlite3
import time
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url

from service.storage.compiled import as_sqlalchemy_error

PATIENCE_SECONDS = 10  # far longer than any write here takes, yet shorter than the timeouts of clients and their proxies
WRITES = "writes"
_LOOK_SECONDS = 0.001
_PATIENCE = f"PRAGMA busy_timeout = {PATIENCE_SECONDS * 1000}"
_PRAGMAS = ("PRAGMA journal_mode = WAL", "PRAGMA synchronous = FULL", _PATIENCE, "PRAGMA foreign_keys = ON")


def is_sqlite(url: str) -> bool:
    """Whether the database is a file on this machine rather than on a server."""
    return make_url(url).get_backend_name() == "sqlite"


def connect(url: str, pool_size: int = 16) -> Engine:
    """An engine for an SQLite file or PostgreSQL; keeps `pool_size` connections and opens none beyond them."""
    if is_sqlite(url):
        return _sqlite(url, pool_size)
    limits = f"-c lock_timeout={PATIENCE_SECONDS}s"
    return create_engine(
        url,
        pool_size=pool_size,
        max_overflow=0,
        pool_timeout=PATIENCE_SECONDS,
        pool_pre_ping=True,
        hide_parameters=True,  # they contain personal data, and errors are logged
        connect_args={"connect_timeout": 5, "options": limits},
    )


def _sqlite(url: str, pool_size: int) -> Engine:
    engine = create_engine(url, pool_size=pool_size, max_overflow=0, pool_timeout=PATIENCE_SECONDS, hide_parameters=True)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _: object) -> None:
    """WAL lets readers continue beside a writer; FULL ensures that issued numbers survive a power cut; transactions are begun below."""
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(pragma)


def _begin(connection: Connection) -> None:
    """A writer takes its lock at once and so waits its turn, instead of failing when upgrading from a read to a write.

    SQLite itself waits for another process in steps of up to a tenth of a second, and seldom wakes in the moment between two of that
    process's transactions: the steps here are short and even, and taken by one thread of a process at a time.
    """
    if not connection.get_execution_options().get(WRITES, False):
        connection.exec_driver_sql("BEGIN")
        return
    until, driver = time.monotonic() + PATIENCE_SECONDS, connection.connection
    try:
        driver.execute("PRAGMA busy_timeout = 0")
        try:
            while not _begun(driver, last=time.monotonic() >= until):
                time.sleep(_LOOK_SECONDS)
        finally:
            driver.execute(_PATIENCE)
    except sqlite3.Error as error:
        raise as_sqlalchemy_error("BEGIN IMMEDIATE", error, connection.dialect) from error


def _begun(driver: Any, *, last: bool) -> bool:
    try:
        driver.execute("BEGIN IMMEDIATE")
    except sqlite3.OperationalError as error:
        if last or error.sqlite_errorname != "SQLITE_BUSY":
            raise
        return False
    return True
