"""Buckets that drain: of each one number is kept, the moment when it will be full again (the generic cell rate algorithm, ITU-T I.371).

A request moves that moment by its interval, unless it would lie more than a window ahead. `take` returns whether the request may go on, and
how far ahead the moment lies, in seconds.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple, Protocol

from sqlalchemy import make_url

PATIENCE_SECONDS = 0.25
_PRUNE_EVERY = 5_000


class Taken(NamedTuple):
    """Whether a request may go on, and in how many seconds its bucket would be full again."""

    allowed: bool
    ahead: float


class Buckets(Protocol):
    """Where the buckets are kept. Raises OSError or sqlite3.Error where that does not answer."""

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one request out of a bucket."""


def side_file(database_url: str, what: str = "limits") -> Path:
    """A file for what may be lost, such as the buckets: beside an SQLite database, else in a folder of this user's alone. Raises OSError where that is another's."""
    url = make_url(database_url)
    if url.get_backend_name() == "sqlite" and url.database:
        return Path(f"{url.database}-{what}")
    folder = Path(tempfile.gettempdir()) / f"wire-quotes-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    found = folder.lstat()
    if folder.is_symlink() or found.st_uid != os.getuid() or found.st_mode & 0o077:
        raise PermissionError(f"{folder} is not this user's alone")
    return folder / f"{hashlib.sha256(database_url.encode()).hexdigest()[:16]}{'' if what == 'limits' else '-' + what}.sqlite3"


class FileBuckets:
    """Buckets in an SQLite file that all workers of a machine share. What a power cut loses of it is no harm, so nothing waits for the disk."""

    def __init__(self, database_url: str, clock: Callable[[], float] = time.time) -> None:
        self._url, self._clock = database_url, clock
        self._lock, self._process, self._taken = threading.Lock(), 0, 0
        self._connection: sqlite3.Connection | None = None

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one; raises sqlite3.Error, OSError."""
        with self._lock:
            connection, now = self._opened(), self._clock()
            row = connection.execute(_TAKE, {"name": name, "now": now, "interval": interval, "window": window}).fetchone()
            allowed = row is not None
            if row is None:
                row = connection.execute("SELECT full_at FROM buckets WHERE name = ?", (name,)).fetchone()
            self._taken += 1
            if self._taken % _PRUNE_EVERY == 0:
                connection.execute("DELETE FROM buckets WHERE full_at < ?", (now,))
        return Taken(allowed, max((row[0] if row else now) - now, 0.0))

    def close(self) -> None:
        """Close this process's connection."""
        with self._lock:
            if self._connection is not None and self._process == os.getpid():
                self._connection.close()
            self._connection = None

    def _opened(self) -> sqlite3.Connection:
        if self._connection is None or self._process != os.getpid():  # a connection is never carried over a fork
            opened = sqlite3.connect(side_file(self._url), timeout=PATIENCE_SECONDS, isolation_level=None, check_same_thread=False)
            for statement in _OPEN:
                opened.execute(statement)
            self._connection, self._process = opened, os.getpid()
        return self._connection


_OPEN = (
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = OFF",
    "CREATE TABLE IF NOT EXISTS buckets (name TEXT PRIMARY KEY, full_at REAL NOT NULL) WITHOUT ROWID",
)
_TAKE = """
INSERT INTO buckets (name, full_at) VALUES (:name, :now + :interval)
ON CONFLICT (name) DO UPDATE SET full_at = max(full_at, :now) + :interval WHERE max(full_at, :now) + :interval - :now <= :window + 1e-6
RETURNING full_at
"""
