"""Where the HTTP threads have things computed: in separate processes or, without those, in the threads themselves, one at a time."""

from __future__ import annotations

import logging
import os
import signal
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import Any, Protocol, TypeVar

from service.computing.budget import Budget, Lane, Reason, problem
from service.computing.hatch import MOST_SENT, Asked, Full, Hatch, Taken
from service.computing.message import Failed, OutOfMemory, Refused, TablesWanted, Task, packed, unpacked
from service.computing.watch import Used, used
from service.engine.engine import Engine
from service.engine.lock import Turn

LOOK_SECONDS = 0.05  # between checks of how much a computation has used
LATER = b""  # sent in place of a task too large for the socket buffer; the task follows once a process has taken it
TRIES = 3  # to hand over a task that no process has started
_MB = 1 << 20
log = logging.getLogger("service")
Count = Callable[[Lane, str], None]
Done = TypeVar("Done")


class ComputingFailed(RuntimeError):
    """A computation failed through a bug; the details are in the log of the computing process."""


class Pool(Protocol):
    """Runs computations, and records how long they took."""

    apart: bool

    def run(self, lane: Lane, what: Callable[..., Done], engine: Engine, *given: Any) -> Done:
        """The result of `what(engine, *given)`. Raises what the call raises, and Problem (503) if it cannot start or exceeds its budget."""

    def usual(self) -> Turn:
        """The lock for computations small enough to run in the calling thread."""

    def had(self) -> float:
        """Seconds of computation for this thread since its last call of this method."""


class Here:
    """Computes in the calling thread, where nothing can stop a computation: for tests, and if no computing processes are configured."""

    apart = False

    def __init__(self) -> None:
        self.usual_turn = Turn()
        self.turns = {Lane.USUAL: Turn(waiting=2), Lane.PLANS: Turn(30.0, 3, 10)}

    def run(self, lane: Lane, what: Callable[..., Done], engine: Engine, *given: Any) -> Done:
        """As in the protocol; large computations have a lock for each lane, for which only a few threads may wait."""
        with self.turns[lane]:
            return what(engine, *given)

    def usual(self) -> Turn:
        """As in the protocol."""
        return self.usual_turn

    def had(self) -> float:
        """As in the protocol."""
        return self.usual_turn.had() + sum(each.had() for each in self.turns.values())


class Apart:
    """Computes in separate processes. For each lane, at most `places` threads wait or have a computation running; `count` is called with
    the outcome of each.
    """

    apart = True

    def __init__(self, hatches: Mapping[Lane, Hatch], budgets: Mapping[Lane, Budget], places: Mapping[Lane, int], count: Count) -> None:
        self._hatches, self._budgets, self._count = hatches, budgets, count
        self._places = {lane: threading.Semaphore(many) for lane, many in places.items()}
        self._turn, self._mine = Turn(), threading.local()

    def usual(self) -> Turn:
        """As in the protocol."""
        return self._turn

    def had(self) -> float:
        """As in the protocol."""
        had: float = getattr(self._mine, "had", 0.0)
        self._mine.had = 0.0
        return had + self._turn.had()

    def run(self, lane: Lane, what: Callable[..., Done], engine: Engine, *given: Any) -> Done:
        """As in the protocol."""
        if not self._places[lane].acquire(blocking=False):
            self._count(lane, Reason.BUSY)
            raise problem(Reason.BUSY, self._budgets[lane])
        try:
            answer = self._asked(lane, Task(what, engine.key, engine.today(), given, self._budgets[lane]), engine)
        except _Ended as ended:
            self._count(lane, ended.reason)
            if ended.reason is not Reason.BUSY:
                log.warning("a computation (%s, %s) was ended after %.1f s: %s", lane, what.__name__, ended.after, ended.reason)
            raise problem(ended.reason, self._budgets[lane]) from None
        finally:
            self._places[lane].release()
        value: Done = self._value(lane, answer, what)
        return value

    def _value(self, lane: Lane, answer: Any, what: Callable[..., Any]) -> Any:
        if isinstance(answer, Failed):
            self._count(lane, "failed")
            raise ComputingFailed(what.__name__)
        self._count(lane, "done")
        self._mine.had = getattr(self._mine, "had", 0.0) + answer.seconds
        if isinstance(answer, Refused):
            raise answer.error()
        return answer.value

    def _asked(self, lane: Lane, task: Task, engine: Engine) -> Any:
        """The answer to a task. If a process ends before it has started the task, the task goes to another. Raises _Ended."""
        began, body = time.monotonic(), packed(task)
        for _ in range(TRIES):
            try:
                asked = self._hatches[lane].leave(body if len(body) <= MOST_SENT else LATER)
            except Full:
                raise _Ended(Reason.BUSY, time.monotonic() - began) from None
            with asked:
                answer = _Conversation(asked, task.budget, began).answer(body, engine)
            if answer is not None:
                return answer
        raise _Ended(Reason.GONE, time.monotonic() - began)


class _Ended(Exception):
    def __init__(self, reason: Reason, after: float) -> None:
        super().__init__(reason)
        self.reason, self.after = reason, after


class _Conversation:
    """The exchange with the process that takes the task. That process takes no other task until the connection is closed, so killing it
    never hits another caller's task.
    """

    def __init__(self, asked: Asked, budget: Budget, joined: float) -> None:
        self._asked, self._budget, self._joined = asked, budget, joined

    def answer(self, body: bytes, engine: Engine) -> Any:
        """The process's answer; None if it ended before it started the task. Raises _Ended."""
        connection = self._asked.conversation
        try:
            if len(body) > MOST_SENT:
                self._taken()
                connection.send_bytes(body)
            answer = self._receive()
            if isinstance(answer, TablesWanted):
                planner = engine.planner
                connection.send_bytes(packed((planner.catalogue, planner.prices, planner.seconds)))
                answer = self._receive()
        except (EOFError, OSError):
            if self._begun():
                raise self._ended(Reason.GONE) from None
            return None
        if isinstance(answer, OutOfMemory):
            raise self._ended(Reason.MEMORY)
        return answer

    def _receive(self) -> Any:
        connection = self._asked.conversation
        while not connection.poll(LOOK_SECONDS):
            taken = self._taken()
            reason = self._over(taken, used(taken.pid))
            if reason is not None:
                with suppress(ProcessLookupError):
                    os.kill(taken.pid, signal.SIGKILL)
                raise self._ended(reason)
        return unpacked(connection.recv_bytes())

    def _taken(self) -> Taken:
        """The process that took the task. Raises _Ended if none does in time, EOFError if it ended while taking it."""
        taken = self._asked.taken(max(0.0, self._joined + self._budget.wait - time.monotonic()))
        if taken is None:
            raise self._ended(Reason.BUSY)
        return taken

    def _begun(self) -> bool:
        try:
            return self._asked.taken() is not None
        except EOFError:
            return False

    def _over(self, taken: Taken, now: Used) -> Reason | None:
        late = time.monotonic() - taken.at > self._budget.wall
        if late or now.seconds - taken.used.seconds > self._budget.seconds:
            return Reason.CLOCK
        return Reason.MEMORY if now.memory - taken.used.memory > self._budget.mb * _MB else None

    def _ended(self, reason: Reason) -> _Ended:
        return _Ended(reason, time.monotonic() - self._joined)
