"""Batch worker processes: kept at a fixed number, and ended together with their parent, even if it is killed."""

from __future__ import annotations

import logging
import os
import signal
import sys
import time
from collections.abc import Callable
from contextlib import suppress

from service.computing.collector import spare_what_is_loaded
from service.computing.orphans import end_with

STOP_SECONDS = 10.0
log = logging.getLogger("service")


class WorkerPool:
    """`size` processes that run `work`, which receives a function telling whether to stop. `leave`: what a child must release of its
    parent's resources.
    """

    def __init__(self, size: int, work: Callable[[Callable[[], bool]], None], leave: Callable[[], None] = lambda: None) -> None:
        self.size, self._work, self._leave = size, work, leave
        self.members: set[int] = set()

    def keep(self) -> None:
        """Replace workers that have ended."""
        for each in [each for each in self.members if _ended(each)]:
            self.members.discard(each)
            log.warning("a batch worker (process %s) ended; starting another", each)
        while len(self.members) < self.size:
            self.members.add(self._begun())

    def ask(self) -> None:
        """Ask every worker to stop after its current line."""
        for each in self.members:
            _signal(each, signal.SIGTERM)

    def stop(self) -> None:
        """Ask the workers to stop, wait for a while, then kill those still running."""
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
    except ChildProcessError:  # another part of this process has already reaped it
        return True


def _signal(child: int, number: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(child, number)


def _be_a_member(parent: int, work: Callable[[Callable[[], bool]], None], leave: Callable[[], None]) -> None:
    """Run a worker in the forked child. Never returns, since the child must not continue with the parent's code."""
    code = 1
    try:
        end_with(parent)
        asked = _stops_when_asked()
        leave()
        os.nice(5)  # interactive quotes go before batches
        spare_what_is_loaded()
        work(lambda: bool(asked) or os.getppid() != parent)
        code = 0
    except BaseException:
        log.exception("a batch worker failed")
    finally:
        with suppress(OSError, ValueError):  # an end of the output must not lead back into the parent's code
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)


def _stops_when_asked() -> list[int]:
    asked: list[int] = []
    for each in (signal.SIGTERM, signal.SIGINT, signal.SIGQUIT):
        signal.signal(each, lambda number, _: asked.append(number))
    for each in (signal.SIGHUP, signal.SIGUSR1, signal.SIGUSR2, signal.SIGTTIN, signal.SIGTTOU, signal.SIGWINCH):
        signal.signal(each, signal.SIG_IGN)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    return asked
