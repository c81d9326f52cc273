"""Opening a database. Engines are opened after the workers fork: a connection shared by two processes is a broken one."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url

BUSY_MS = 30_000
WRITES = "writes"
_PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", f"busy_timeout = {BUSY_MS}", "foreign_keys = ON")


def connect(url: str, pool_size: int = 16) -> Engine:
    """An engine for a SQLite file or PostgreSQL; `pool_size` connections are kept, none beyond them."""
    if make_url(url).get_backend_name() == "sqlite":
        return _sqlite(url, pool_size)
    return create_engine(url, pool_size=pool_size, max_overflow=0, pool_pre_ping=True, connect_args={"connect_timeout": 5})


def _sqlite(url: str, pool_size: int) -> Engine:
    engine = create_engine(url, pool_size=pool_size, max_overflow=0)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _: object) -> None:
    """WAL lets readers go on beside one writer; FULL makes an issued number outlast a power cut; transactions are begun below."""
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    """A writer takes its lock at once and so waits its turn, instead of failing when a read becomes a write."""
    writes = connection.get_execution_options().get(WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
