"""A time limit on work within a single-threaded process: the alarm is raised inside the work itself."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


class TookLonger(BaseException):
    """The time limit was exceeded. Not an `Exception`, so that code that catches errors and continues does not swallow it."""


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raises TookLonger in a block that runs too long. Only the main thread can receive the signal, so other threads have no limit."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGALRM, _ring)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _ring(*_: object) -> None:
    raise TookLonger
