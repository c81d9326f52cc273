"""Leaky buckets: for each, a single number is stored, the time at which it will be full again (the generic cell rate algorithm, ITU-T
I.371).

A request moves that time forward by its interval, unless it would then lie more than a window ahead. `take` returns whether the
request may proceed, and how far ahead the time lies, in seconds. A time already further ahead comes from another clock, before a
restart or a clock step: it counts as past.
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
_LONGEST = 3600.0  # no window is longer than this


class Taken(NamedTuple):
    """Whether a request may proceed, and in how many seconds its bucket will be full again."""

    allowed: bool
    ahead: float


class Buckets(Protocol):
    """A store of buckets. Raises OSError or sqlite3.Error if it does not respond."""

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one request from a bucket."""


def side_file(database_url: str, what: str = "limits") -> Path:
    """A file for disposable data such as the buckets: beside an SQLite database, otherwise in a private directory of this user. Raises
    OSError if that belongs to another user.
    """
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
    """Buckets in an SQLite file shared by all workers on a machine. Losing some of it in a power cut does no harm, so nothing waits
    for the disk.

    `clock`: seconds since an arbitrary moment, the same for all workers; it must not step, as the time of day does.
    """

    def __init__(self, database_url: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._url, self._clock = database_url, clock
        self._lock, self._process, self._taken = threading.Lock(), 0, 0
        self._connection: sqlite3.Connection | None = None

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one request; raises sqlite3.Error, OSError."""
        with self._lock:
            connection, now = self._opened(), self._clock()
            allowed = connection.execute(_TAKE, {"name": name, "now": now, "interval": interval, "window": window}).rowcount == 1
            row = connection.execute("SELECT full_at FROM buckets WHERE name = ?", (name,)).fetchone()
            self._taken += 1
            if self._taken % _PRUNE_EVERY == 0:
                connection.execute("DELETE FROM buckets WHERE full_at < ? OR full_at > ?", (now, now + _LONGEST))
        return Taken(allowed, max((row[0] if row else now) - now, 0.0))

    def close(self) -> None:
        """Close this process's connection."""
        with self._lock:
            if self._connection is not None and self._process == os.getpid():
                self._connection.close()
            self._connection = None

    def _opened(self) -> sqlite3.Connection:
        if self._connection is None or self._process != os.getpid():  # a connection must never be carried across a fork
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
# No RETURNING: this way the statement completes and releases the file's lock before this thread waits for the interpreter lock.
# Otherwise all workers on the machine would wait with it.
_TAKE = """
INSERT INTO buckets (name, full_at) VALUES (:name, :now + :interval)
ON CONFLICT (name) DO UPDATE SET full_at = iif(full_at > :now + :window + 1e-3, :now, max(full_at, :now)) + :interval
WHERE full_at > :now + :window + 1e-3 OR max(full_at, :now) + :interval - :now <= :window + 1e-6
"""
