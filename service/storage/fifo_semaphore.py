"""A first-come, first-served queue of threads.

A `threading.Lock` admits waiting threads in no particular order, and a newcomer may overtake all of them: under load, most threads wait
briefly and a few very long. Here a freed place goes to the thread that has waited longest.
"""

from __future__ import annotations

import threading
from collections import deque


class FifoSemaphore:
    """`places`: how many threads may be inside at once; `waiting`: how many may wait, None for any number."""

    def __init__(self, places: int = 1, waiting: int | None = None) -> None:
        self._guard = threading.Lock()
        self._free, self._most = places, waiting
        self._waiting: deque[threading.Lock] = deque()

    def __len__(self) -> int:
        """The number of threads waiting."""
        return len(self._waiting)

    def enter(self, seconds: float) -> bool:
        """Wait up to `seconds` for a place. False if none became free, or if the queue is already full."""
        with self._guard:
            if self._free:
                self._free -= 1
                return True
            if self._most is not None and len(self._waiting) >= self._most:
                return False
            mine = threading.Lock()
            mine.acquire()
            self._waiting.append(mine)
        try:
            entered = mine.acquire(timeout=seconds)
        except BaseException:  # raised by a signal handler: a place received meanwhile is passed on
            if not self._withdraw(mine):
                self.leave()
            raise
        return entered or not self._withdraw(mine)

    def _withdraw(self, mine: threading.Lock) -> bool:
        """Stop waiting. False if the place has been given to this thread in the meantime."""
        with self._guard:
            if mine in self._waiting:
                self._waiting.remove(mine)
                return True
        return False

    def leave(self) -> None:
        """Give the place to the thread that has waited longest."""
        with self._guard:
            if self._waiting:
                self._waiting.popleft().release()
            else:
                self._free += 1
