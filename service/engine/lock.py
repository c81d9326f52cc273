"""The engine lock: serialises computation and limits how long a request waits for it."""

from __future__ import annotations

import threading
import time

from service.http.problems import Problem, fault
from service.storage.fifo_semaphore import FifoSemaphore

SECONDS = 10.0  # a turn takes about 10 ms, so this is far more than one turn each for all threads of a server
RETRY_SECONDS = 2
BUSY = "The service is busy with other computations. Send the request again in {seconds} seconds."


def busy(seconds: int = RETRY_SECONDS) -> Problem:
    """The 503 problem, with the time to retry after."""
    words = BUSY.format(seconds=seconds)
    return Problem(503, words, [fault("#", "busy", words)], {"Retry-After": str(seconds)})


class Turn:
    """A lock granted in the order of arrival, which records how long each thread has held it. At most `waiting` threads wait for
    it, and none longer than `seconds`.

    Beyond these limits, entering raises Problem (503): a waiting thread serves nobody.
    """

    def __init__(self, seconds: float = SECONDS, waiting: int | None = None, retry: int = RETRY_SECONDS) -> None:
        self._line, self._mine = FifoSemaphore(waiting=waiting), threading.local()
        self._seconds, self._retry = seconds, retry

    def __enter__(self) -> None:
        if not self._line.enter(self._seconds):
            raise busy(self._retry)
        self._mine.since = time.perf_counter()

    def __exit__(self, *_: object) -> None:
        self._mine.had = getattr(self._mine, "had", 0.0) + time.perf_counter() - self._mine.since
        self._line.leave()

    def had(self) -> float:
        """Seconds that this thread has held the lock since the last call."""
        had: float = getattr(self._mine, "had", 0.0)
        self._mine.had = 0.0
        return had
