"""The queue of threads: first come, first served, and a thread that gave up is never let in."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import pytest

from service.storage.fifo_semaphore import FifoSemaphore

LONG = 120.0


def wait_until(seen: Callable[[], bool]) -> None:
    until = time.monotonic() + LONG
    while not seen() and time.monotonic() < until:
        time.sleep(0.002)
    assert seen()


class Waiting:
    """Threads that wait, one after the other; each notes its name once it is in, and leaves when told to."""

    def __init__(self, semaphore: FifoSemaphore) -> None:
        self.line, self.entered = semaphore, list[int]()
        self.threads: list[threading.Thread] = []

    def add(self, name: int) -> None:
        before = len(self.line)
        self.threads.append(threading.Thread(target=self._wait, args=(name,)))
        self.threads[-1].start()
        wait_until(lambda: len(self.line) == before + 1)

    def _wait(self, name: int) -> None:
        assert self.line.enter(LONG)
        self.entered.append(name)
        self.line.leave()

    def join(self) -> None:
        for each in self.threads:
            each.join(LONG)


def test_who_came_first_is_let_in_first() -> None:
    line = FifoSemaphore()
    assert line.enter(0)
    waiting = Waiting(line)
    for name in range(20):
        waiting.add(name)
    line.leave()
    waiting.join()
    assert waiting.entered == list(range(20))


def test_a_newcomer_overtakes_nobody_to_whom_the_place_was_given() -> None:
    line = FifoSemaphore()
    assert line.enter(0)
    inside, go_on = threading.Event(), threading.Event()

    def wait() -> None:
        assert line.enter(LONG)
        inside.set()
        assert go_on.wait(LONG)
        line.leave()

    other = threading.Thread(target=wait)
    other.start()
    wait_until(lambda: len(line) == 1)
    line.leave()
    assert not line.enter(0)  # whether the other thread has run by now or not
    assert inside.wait(LONG)
    go_on.set()
    other.join(LONG)
    assert line.enter(0)


def test_as_many_are_inside_as_there_are_places() -> None:
    line = FifoSemaphore(places=2)
    assert [line.enter(0) for _ in range(3)] == [True, True, False]
    line.leave()
    assert [line.enter(0) for _ in range(2)] == [True, False]


def test_who_gave_up_is_not_waited_for() -> None:
    line = FifoSemaphore()
    assert line.enter(0)
    assert not line.enter(0.01)
    assert len(line) == 0
    line.leave()
    assert line.enter(0)


def test_no_more_wait_than_may() -> None:
    line = FifoSemaphore(waiting=1)
    assert line.enter(0)
    waiting = Waiting(line)
    waiting.add(1)
    assert not line.enter(LONG)
    line.leave()
    waiting.join()
    assert waiting.entered == [1]


def test_a_place_is_not_lost_with_a_thread_whose_waiting_an_alarm_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the time limit of a batch's line does; the lock that is waited for is the one on which the alarm arrives."""

    class Alarm(BaseException):
        pass

    class Rung:
        def __init__(self) -> None:
            self.held = False

        def acquire(self, timeout: float | None = None) -> bool:
            if timeout is None:
                self.held = True
                return True
            line.leave()  # given at the very moment of the alarm
            raise Alarm

        def release(self) -> None:
            self.held = False

    line = FifoSemaphore()
    assert line.enter(0)
    real = threading.Lock
    monkeypatch.setattr("service.storage.fifo_semaphore.threading.Lock", Rung)
    with pytest.raises(Alarm):
        line.enter(LONG)
    monkeypatch.setattr("service.storage.fifo_semaphore.threading.Lock", real)
    assert line.enter(0)
