"""A bell that wakes the batch workers, so that they need not poll the database constantly. It carries no data: the work is listed in
the database, a lost ring costs only seconds, and if the bell fails the workers poll.

Uses Redis if configured, for several machines; otherwise a small file beside the database. The contents of neither are ever
deserialised.
"""

from __future__ import annotations

import logging
import os
import threading
import time
from typing import Any

from service.settings import Settings

MOST_RINGS = 64  # more rings waiting would wake nobody sooner
_POLL_SECONDS = 0.1
_RING = b"ring"
log = logging.getLogger("service")


class Bell:
    """The bell of one process, opened on first use, after the workers fork."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._storage: Any = None
        self._process, self._lock, self._silent_until = 0, threading.Lock(), 0.0

    def ring(self, times: int = 1) -> None:
        """Wake this many workers. A failure is logged, and nothing is lost."""
        if time.monotonic() < self._silent_until:
            return
        try:
            found = self._opened()
            for _ in range(min(times, MOST_RINGS - found.queue_size())):
                found.enqueue(_RING)
        except Exception as error:  # noqa: BLE001  # whatever Redis or the file's driver raises
            self._out_of_order(error)

    def wait(self, seconds: float) -> bool:
        """Wait until the bell rings or the time is up; returns whether it rang."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            if time.monotonic() < self._silent_until:
                time.sleep(min(left, _POLL_SECONDS * 5))
                continue
            try:
                if self._opened().dequeue() is not None:
                    return True
            except Exception as error:  # noqa: BLE001  # as above
                self._out_of_order(error)
                continue
            if self._settings.redis_url is None:
                time.sleep(min(left, _POLL_SECONDS))
        return False

    def _out_of_order(self, error: Exception) -> None:
        self._silent_until = time.monotonic() + 5
        self._storage = None
        log.warning("batch workers cannot be woken and poll instead: %s", error)

    def _opened(self) -> Any:
        with self._lock:
            if self._storage is None or self._process != os.getpid():
                self._storage, self._process = _open(self._settings), os.getpid()
            return self._storage


def _open(settings: Settings) -> Any:
    from huey.storage import RedisStorage, SqliteStorage

    if settings.redis_url is not None:
        from redis import ConnectionPool

        pool = ConnectionPool.from_url(settings.redis_url, socket_timeout=5, socket_connect_timeout=2)
        return RedisStorage("quotes", connection_pool=pool, read_timeout=1)
    from service.rate_limit.buckets import side_file

    return SqliteStorage("quotes", str(side_file(settings.database_url, "bell")), fsync=False, cache_mb=0, timeout=1)
