"""Two groups of threads for requests: one for those that only read, one for all others.

A read takes milliseconds, while a quote may wait seconds to be computed and then to be stored. In a shared group, reads would queue
behind threads that are waiting.

`ThreadPoolExecutor` makes a future for each request, with its own lock and condition, which costs as much as a fifth of handling a small read.
Here only the event loop counts the requests in progress, and it is notified of finished ones in the same way as of all other events.
"""

from __future__ import annotations

import logging
import math
import threading
from collections.abc import Callable
from queue import SimpleQueue

from service.server.connection import Connection

_READS = (b"GET ", b"HEAD ", b"OPTIONS ")  # safe methods (RFC 9110, 9.2.1)
Handle = Callable[[Connection], object]
Done = Callable[[Connection, bool], None]


class Lane:
    """Threads that handle requests in the order of arrival. A thread is started when all others are busy. `submit` and `finished` are called in
    the event loop.
    """

    def __init__(self, name: str, most: int) -> None:
        self._name, self._most = name, most
        self._waiting: SimpleQueue[tuple[Handle, Connection, Done] | None] = SimpleQueue()
        self._inside, self._started = 0, 0

    def submit(self, handle: Handle, connection: Connection, done: Done) -> None:
        """Queue a request. Once it is handled, `done` is called in its thread, with whether the connection stays open."""
        self._inside += 1
        if self._started < min(self._inside, self._most):
            self._started += 1
            threading.Thread(target=self._work, name=f"{self._name}_{self._started}", daemon=True).start()
        self._waiting.put((handle, connection, done))

    @property
    def full(self) -> bool:
        """Whether requests wait for a thread."""
        return self._inside > self._most

    def finished(self) -> None:
        """Count a request as finished."""
        self._inside -= 1

    def shutdown(self) -> None:
        """Let the threads end once they have nothing more to do."""
        for _ in range(self._started):
            self._waiting.put(None)

    def _work(self) -> None:
        while (task := self._waiting.get()) is not None:
            handle, connection, done = task
            stays = False
            try:
                stays = bool(handle(connection))
            except BaseException:
                logging.getLogger("service").exception("a request could not be handled")
            done(connection, stays)
            del task, handle, connection, done  # so that a waiting thread keeps nothing of the last request alive


class Lanes:
    """Takes the place of the worker's thread pool. `threads`: the number in each lane."""

    def __init__(self, threads: int) -> None:
        self._reads, self._others = Lane("reads", threads), Lane("others", threads)

    def submit(self, handle: Handle, connection: Connection, done: Done) -> Lane:
        """Queue a request in its lane, first come, first served. One whose body has yet to be read never counts as a read."""
        reads = connection.gathered.startswith(_READS) and connection.due == math.inf
        lane = self._reads if reads else self._others
        lane.submit(handle, connection, done)
        return lane

    def shutdown(self, wait: bool = True) -> None:
        """Called by gunicorn when the worker ends; it never waits."""
        for lane in (self._reads, self._others):
            lane.shutdown()
