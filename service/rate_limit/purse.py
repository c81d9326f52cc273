"""Requests that a process has taken from its buckets in advance, so that not every request of a key with a large quota waits for the shared
file.

From a quota of thousands, a process takes a small share at once, uses it within a second, and discards the rest, so that all processes
together never let more requests through than the bucket allows. At most `1 / SHARE` of the quota is discarded per second and process, and only
when there are fewer requests than that. Small quotas, such as those of pages and links, are taken one by one.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from service.rate_limit.buckets import Buckets, Taken

SHARE = 3_000  # this fraction (1 / SHARE) of a quota is taken at once
KEPT_SECONDS = 1.0


@dataclass(slots=True)
class _Held:
    left: int
    ahead: float  # how far ahead the bucket's time was when this was taken
    since: float


class Purse:
    """The requests that one process has taken in advance. `clock` is monotonic."""

    def __init__(self, buckets: Buckets, clock: Callable[[], float] = time.monotonic) -> None:
        self._buckets, self._clock = buckets, clock
        self._lock, self._held = threading.Lock(), dict[str, _Held]()

    def take(self, name: str, interval: float, window: float) -> Taken:
        """Take one request, like `Buckets.take`. Raises OSError or sqlite3.Error if the buckets do not respond."""
        share = int(window / interval + 1e-6) // SHARE
        if share < 2:
            return self._buckets.take(name, interval, window)
        now = self._clock()
        with self._lock:
            held = self._held.get(name)
            if held is not None and held.left and now - held.since < KEPT_SECONDS:
                held.left -= 1
                return Taken(True, _ahead(held, interval, now))
        taken = self._buckets.take(name, share * interval, window)
        if not taken.allowed:
            return self._buckets.take(name, interval, window)
        held = _Held(share - 1, taken.ahead, now)
        with self._lock:
            self._held[name] = held
        return Taken(True, _ahead(held, interval, now))


def _ahead(held: _Held, interval: float, now: float) -> float:
    """How far ahead the bucket's time would be if nothing had been taken in advance."""
    return max(held.ahead - held.left * interval - (now - held.since), 0.0)
