"""Two thread pools for requests: one for those that only read, one for all others.

A read takes milliseconds, while a quote may wait seconds to be computed and then to be stored. In a shared pool, reads would queue
behind threads that are waiting.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from service.server.connection import Connection

_READS = (b"GET ", b"HEAD ", b"OPTIONS ")  # safe methods (RFC 9110, 9.2.1)


class Lanes:
    """Takes the place of the worker's thread pool. `threads`: the number in each lane."""

    def __init__(self, threads: int) -> None:
        self._reads = ThreadPoolExecutor(threads, "reads")
        self._others = ThreadPoolExecutor(threads, "others")

    def submit(self, handle: Callable[[Connection], object], connection: Connection) -> Future[object]:
        """Queue a request in its lane, first come, first served. One whose body has yet to be read never counts as a read."""
        reads = connection.gathered.startswith(_READS) and connection.due == math.inf
        return (self._reads if reads else self._others).submit(handle, connection)

    def shutdown(self, wait: bool = True) -> None:
        """Start no more requests."""
        for lane in (self._reads, self._others):
            lane.shutdown(wait)
