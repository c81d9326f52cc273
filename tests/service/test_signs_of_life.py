"""A worker tells the master that it lives, about once a second, however many requests pass through its event loop."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from service.server import buffering
from service.server.gunicorn_conf import options
from service.settings import Settings


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> SimpleNamespace:
    found = SimpleNamespace(now=5000.0)
    monkeypatch.setattr(buffering, "time", SimpleNamespace(monotonic=lambda: found.now))
    return found


def test_one_sign_a_second(clock: SimpleNamespace) -> None:
    signs: list[float] = []
    worker = buffering.PatientWorker.__new__(buffering.PatientWorker)
    worker.tmp, worker.sign_at = SimpleNamespace(notify=lambda: signs.append(clock.now)), float("-inf")
    for _ in range(300):  # three seconds of a hundred rounds each
        worker.notify()
        clock.now += 0.01
    assert [round(at - signs[0], 6) for at in signs] == pytest.approx([0, 1, 2], abs=0.02)


def test_the_master_waits_far_longer() -> None:
    longest_round = 1.0  # gunicorn's loop waits this long for events
    assert options(Settings())["timeout"] > 10 * (buffering.SIGN_SECONDS + longest_round)
