"""Whose turn it is to compute."""

from __future__ import annotations

import threading
import time


class Turn:
    """A lock that remembers for each thread how long it had it."""

    def __init__(self) -> None:
        self._lock, self._mine = threading.Lock(), threading.local()

    def __enter__(self) -> None:
        self._lock.acquire()
        self._mine.since = time.perf_counter()

    def __exit__(self, *_: object) -> None:
        self._mine.had = getattr(self._mine, "had", 0.0) + time.perf_counter() - self._mine.since
        self._lock.release()

    def had(self) -> float:
        """Seconds that this thread had it since it last asked this."""
        had: float = getattr(self._mine, "had", 0.0)
        self._mine.had = 0.0
        return had
