"""A process that keeps the computing processes at a fixed number. It computes nothing itself, so no request can bring it down, and it
ends with the process that started it.
"""

from __future__ import annotations

import logging
import os
import resource
import select
import signal
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import suppress

from service.computing.budget import Lane
from service.computing.collector import spare_what_is_loaded
from service.computing.computer import Computer
from service.computing.hatch import Hatch
from service.computing.orphans import end_by_the_kernel, end_with
from service.engine.engine import Engine

NICENESS = 10  # small requests and batches take precedence over large computations
_LOOK_SECONDS, _REST_SECONDS = 1.0, 0.5
_UNHEEDED = (signal.SIGINT, signal.SIGTERM, signal.SIGQUIT, signal.SIGHUP, signal.SIGUSR1, signal.SIGUSR2, signal.SIGTTIN, signal.SIGTTOU, signal.SIGWINCH)  # fmt: skip
log = logging.getLogger("service")


class Keeper:
    """Keeps `processes` computing processes at each hatch; without hatches it does nothing."""

    def __init__(self, hatches: Mapping[Lane, Hatch], engine: Engine, processes: int) -> None:
        self._hatches, self._engine, self._processes = hatches, engine, processes
        self._process: int | None = None

    def keep(self, leave: Callable[[], None] = lambda: None) -> None:
        """Start the keeper process, or restart it if it has ended. Called periodically by the process with which all others end.
        `leave`: what the child must release of that process's resources.
        """
        if not self._hatches:
            return
        if self._process is not None and not _has_ended(self._process):
            return
        if self._process is not None:
            log.warning("the keeper of the computing processes (process %s) ended; another takes its place", self._process)
        parent = os.getpid()
        self._process = os.fork()
        if self._process == 0:
            _forked(lambda: self._run(parent, leave))

    def end(self) -> None:
        """Kill the keeper process, and with it the computing processes."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                os.kill(self._process, signal.SIGKILL)
            with suppress(ChildProcessError):
                os.waitpid(self._process, 0)
            self._process = None

    def _run(self, parent: int, leave: Callable[[], None]) -> None:
        end_by_the_kernel(parent)
        for each in _UNHEEDED:  # they go to the whole process group: callers still get their answers; these processes end with the server
            signal.signal(each, signal.SIG_IGN)
        leave()
        spare_what_is_loaded()
        _Crew(self._hatches, self._engine, self._processes).keep(parent)


class _Crew:
    def __init__(self, hatches: Mapping[Lane, Hatch], engine: Engine, processes: int) -> None:
        self._hatches, self._engine, self._processes = hatches, engine, processes
        self._members: dict[int, Lane] = {}

    def keep(self, parent: int) -> None:
        """Run as long as the parent does. A child that ends wakes the loop."""
        woken, waking = os.pipe()
        os.set_blocking(waking, False)
        signal.signal(signal.SIGCHLD, lambda *_: None)
        signal.set_wakeup_fd(waking, warn_on_full_buffer=False)
        while os.getppid() == parent:
            self._fill()
            if select.select([woken], [], [], _LOOK_SECONDS)[0]:
                os.read(woken, 512)
            self._count()

    def _fill(self) -> None:
        for lane, hatch in self._hatches.items():
            for _ in range(self._processes - list(self._members.values()).count(lane)):
                keeper, child = os.getpid(), os.fork()
                if child == 0:
                    signal.set_wakeup_fd(-1)
                    _forked(lambda hatch=hatch, keeper=keeper: _compute(hatch, self._engine, keeper))  # type: ignore[misc]
                self._members[child] = lane

    def _count(self) -> None:
        """Forget the processes that have ended. One due for replacement exits with 0; any other status is logged."""
        while self._members:
            with suppress(ChildProcessError):
                child, status = os.waitpid(-1, os.WNOHANG)
                if child == 0:
                    return
                lane = self._members.pop(child, None)
                code = os.waitstatus_to_exitcode(status)
                if code:
                    log.warning("a computing process (%s, process %s) ended with %s; another takes its place", lane, child, code)
                if code > 0:
                    time.sleep(_REST_SECONDS)  # it fails on its own: pause before starting another
                continue
            return


def _compute(hatch: Hatch, engine: Engine, keeper: int) -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    end_with(keeper)
    os.nice(NICENESS)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))  # no core dumps: they would contain the request
    Computer(hatch, engine, os.getpid()).work()


def _has_ended(child: int) -> bool:
    try:
        return os.waitpid(child, os.WNOHANG)[0] != 0
    except ChildProcessError:  # another part of this process has already reaped it
        return True


def _forked(life: Callable[[], None]) -> None:
    """Run the child. Never returns, since the child must not continue with the parent's code."""
    code = 1
    try:
        life()
        code = 0
    except BaseException:
        log.exception("a process of those that compute failed")
    finally:
        with suppress(OSError, ValueError):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(code)
