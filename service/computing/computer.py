"""The main loop of a computing process: one task at a time, each under kernel limits, until the process is due for replacement."""

from __future__ import annotations

import logging
import resource
import signal
import time
from collections import OrderedDict
from dataclasses import replace
from multiprocessing.connection import Connection
from typing import Any

from pricing.errors import NoPrice, RequestError, TableError
from service.computing.budget import Budget
from service.computing.hatch import Hatch
from service.computing.message import Failed, Made, OutOfMemory, Refused, TablesWanted, Task, packed, unpacked
from service.computing.watch import used
from service.engine.engine import Engine, engine_over
from service.http.problems import Problem
from service.storage import Edition

MOST_TASKS = 2000  # then the process is replaced, in case anything has leaked
KEPT_MB = 150  # memory beyond that of the idle process, left behind by a large task, above which the process is replaced
KEPT_EDITIONS = 4
#: How far beyond the budget the kernel's limits lie. They only matter if the caller is gone or cannot see how much is used.
LATER_SECONDS, LATER_MB = 5, 512
_MB = 1 << 20
_REFUSALS = (Problem, RequestError, NoPrice, TableError)
log = logging.getLogger("service")


class Computer:
    """The work of one process. `engine` has the tables in force at the start; other editions are sent to it when a task needs them."""

    def __init__(self, hatch: Hatch, engine: Engine, pid: int) -> None:
        self._hatch, self._pid = hatch, pid
        self._engines: OrderedDict[Edition, Engine] = OrderedDict({engine.key: engine})
        self._at_rest = used(pid).memory

    def work(self) -> None:
        """Process tasks until the process is due for replacement."""
        for _ in range(MOST_TASKS):
            with self._hatch.take() as asked:
                try:
                    self._answer(asked)
                except (EOFError, OSError):  # the caller is gone
                    continue
                finally:
                    signal.setitimer(signal.ITIMER_REAL, 0)
            if used(self._pid).memory > self._at_rest + KEPT_MB * _MB:
                return

    def _answer(self, asked: Connection) -> None:
        """Process one task. If it exceeds its budget, the kernel or the caller kills this process; it takes no other task until the
        caller has closed the connection, so that the caller never kills it during someone else's task.
        """
        task: Task = unpacked(asked.recv_bytes() or asked.recv_bytes())
        _limit(task.budget, self._pid)
        if task.edition not in self._engines:
            asked.send_bytes(packed(TablesWanted()))
            self._know(task.edition, unpacked(asked.recv_bytes()))
        asked.send_bytes(self._done(task))
        asked.poll(None)

    def _know(self, edition: Edition, sent: Any) -> None:
        self._engines[edition] = engine_over(*sent)
        while len(self._engines) > KEPT_EDITIONS:
            self._engines.popitem(last=False)

    def _done(self, task: Task) -> bytes:
        began = time.perf_counter()
        engine = replace(self._engines[task.edition], today=lambda: task.day)
        try:
            return packed(Made(task.what(engine, *task.given), time.perf_counter() - began))
        except _REFUSALS as error:
            return packed(Refused.of(error, time.perf_counter() - began))
        except MemoryError:
            return packed(OutOfMemory())
        except Exception:
            log.exception("a computation failed: %s", task.what.__name__)
            return packed(Failed())


def _limit(budget: Budget, pid: int) -> None:
    """Set the limits that the kernel enforces, even while the interpreter is stuck in native code. The timers kill the process."""
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.setitimer(signal.ITIMER_REAL, budget.wall + LATER_SECONDS)
    _, most = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (int(time.process_time() + budget.seconds + LATER_SECONDS) + 1, most))
    reserved = _reserved(pid)
    if reserved:
        _, most = resource.getrlimit(resource.RLIMIT_AS)
        resource.setrlimit(resource.RLIMIT_AS, (reserved + (budget.mb + LATER_MB) * _MB, most))


def _reserved(pid: int) -> int:
    """Bytes of address space that the process has reserved; 0 if the system does not report it."""
    try:
        with open(f"/proc/{pid}/statm", "rb") as file:  # noqa: PTH123
            return int(file.read().split()[0]) * resource.getpagesize()
    except OSError:
        return 0
