"""Processes that work on batches, kept at their number, and ended with whoever keeps them: nobody is left behind, even by a kill."""

from __future__ import annotations

import ctypes
import gc
import logging
import os
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress

STOP_SECONDS = 10.0
PR_SET_PDEATHSIG = 1  # prctl(2), Linux
log = logging.getLogger("service")


class Crew:
    """`size` processes that run `work`, which is given how to know that it should stop. `leave`: what of the parent's a child lets go of."""

    def __init__(self, size: int, work: Callable[[Callable[[], bool]], None], leave: Callable[[], None] = lambda: None) -> None:
        self.size, self._work, self._leave = size, work, leave
        self.members: set[int] = set()

    def keep(self) -> None:
        """Replace those that ended."""
        for each in [each for each in self.members if _ended(each)]:
            self.members.discard(each)
            log.warning("a worker of batches (process %s) ended; another takes its place", each)
        while len(self.members) < self.size:
            self.members.add(self._begun())

    def ask(self) -> None:
        """Ask each to stop at the end of the line it is at."""
        for each in self.members:
            _signal(each, signal.SIGTERM)

    def stop(self) -> None:
        """Ask, wait a while, then end those that did not stop."""
        self.ask()
        until = time.monotonic() + STOP_SECONDS
        while time.monotonic() < until and (left := {each for each in self.members if not _ended(each)}):
            self.members = left
            time.sleep(0.05)
        for each in self.members:
            if not _ended(each):
                _signal(each, signal.SIGKILL)
        self.members = set()

    def _begun(self) -> int:
        parent = os.getpid()
        child = os.fork()
        if child == 0:
            _be_a_member(parent, self._work, self._leave)
        return child


def _ended(child: int) -> bool:
    try:
        return os.waitpid(child, os.WNOHANG)[0] != 0
    except ChildProcessError:  # somebody else in this process has seen it end
        return True


def _signal(child: int, number: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(child, number)


def _be_a_member(parent: int, work: Callable[[Callable[[], bool]], None], leave: Callable[[], None]) -> None:
    """Never returns: what the parent would do next is not the child's."""
    code = 1
    try:
        _end_with(parent)
        asked = _stops_when_asked()
        leave()
        os.nice(5)  # a quote at the counter goes before a fleet
        _spare_the_collector()
        work(lambda: bool(asked) or os.getppid() != parent)
        code = 0
    except BaseException:
        log.exception("a worker of batches failed")
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _spare_the_collector() -> None:
    """What was loaded before the fork stays for good: it is not looked through at each collection, and collections are fewer. Some fifth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


def _end_with(parent: int) -> None:
    """The kernel ends this process when its parent ends (Linux); elsewhere it sees it between two lines."""
    if sys.platform == "linux":
        ctypes.CDLL(None, use_errno=True).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:
        os._exit(0)


def _stops_when_asked() -> list[int]:
    asked: list[int] = []
    for each in (signal.SIGTERM, signal.SIGINT, signal.SIGQUIT):
        signal.signal(each, lambda number, _: asked.append(number))
    for each in (signal.SIGHUP, signal.SIGUSR1, signal.SIGUSR2, signal.SIGTTIN, signal.SIGTTOU, signal.SIGWINCH):
        signal.signal(each, signal.SIG_IGN)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    return asked
