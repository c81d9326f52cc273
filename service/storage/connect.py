"""Opening a database. Engines are opened after the workers fork: a connection shared by two processes is a broken one."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url

PATIENCE_SECONDS = 10  # far longer than any write here takes, and within the patience of a client and of the proxies before it
WRITES = "writes"
_PRAGMAS = ("journal_mode = WAL", "synchronous = FULL", f"busy_timeout = {PATIENCE_SECONDS * 1000}", "foreign_keys = ON")


def is_sqlite(url: str) -> bool:
    """Whether the database is a file of this machine, and not a server's."""
    return make_url(url).get_backend_name() == "sqlite"


def connect(url: str, pool_size: int = 16) -> Engine:
    """An engine for a SQLite file or PostgreSQL; `pool_size` connections are kept, none beyond them."""
    if is_sqlite(url):
        return _sqlite(url, pool_size)
    limits = f"-c lock_timeout={PATIENCE_SECONDS}s"
    return create_engine(
        url,
        pool_size=pool_size,
        max_overflow=0,
        pool_timeout=PATIENCE_SECONDS,
        pool_pre_ping=True,
        hide_parameters=True,  # they are people's data, and errors are logged
        connect_args={"connect_timeout": 5, "options": limits},
    )


def _sqlite(url: str, pool_size: int) -> Engine:
    engine = create_engine(url, pool_size=pool_size, max_overflow=0, pool_timeout=PATIENCE_SECONDS, hide_parameters=True)
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
