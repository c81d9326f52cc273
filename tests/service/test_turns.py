"""Which requests compute, wait, or are refused at once: none delays the others for longer than stated."""

from __future__ import annotations

import threading
import time
from typing import Any, Self

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.computing.budget import Lane
from service.engine.lock import Turn
from service.http.problems import Problem


class Held:
    """A turn that another thread has."""

    def __init__(self, turn: Turn) -> None:
        self.turn, self._end, begun = turn, threading.Event(), threading.Event()

        def hold() -> None:
            with turn:
                begun.set()
                self._end.wait(60)

        self._thread = threading.Thread(target=hold)
        self._thread.start()
        assert begun.wait(10)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._end.set()
        self._thread.join()


def refused(turn: Turn) -> Problem:
    with pytest.raises(Problem) as found, turn:
        pass
    return found.value


def test_who_waits_too_long_is_told_when_to_come_again() -> None:
    turn = Turn(seconds=0.05)
    with Held(turn):
        problem = refused(turn)
    assert (problem.status, problem.headers) == (503, {"Retry-After": "2"})
    with turn:
        pass


def test_who_finds_the_places_taken_does_not_wait_at_all() -> None:
    """Who waited would have the turn once it is free, which is before an hour has passed, and nothing would be refused."""
    turn = Turn(seconds=3600.0, waiting=1, retry=10)
    done = threading.Event()

    def wait() -> None:
        with turn:
            done.set()

    with Held(turn):
        waiting = threading.Thread(target=wait)
        waiting.start()
        until = time.monotonic() + 180
        while not len(turn._line) and time.monotonic() < until:  # until it waits
            time.sleep(0.005)
        assert refused(turn).headers == {"Retry-After": "10"}
        assert not done.is_set()
    waiting.join(10)
    assert done.is_set()


def test_a_preview_behind_a_turn_that_does_not_end_is_503_and_says_so(client: FlaskClient, app: Flask, demo: object) -> None:
    turn = app.extensions["computing"].usual()
    turn._seconds = 0.05
    with Held(turn):
        answer = client.post("/v1/quotes/preview", json=demo)
    turn._seconds = 5.0
    assert (answer.status_code, answer.headers["Retry-After"], answer.json["errors"][0]["code"]) == (503, "2", "busy")
    assert client.post("/v1/quotes/preview", json=demo).status_code == 200


def test_a_usual_quote_goes_past_a_large_one_that_computes(client: FlaskClient, app: Flask, demo: dict[str, Any]) -> None:
    """40 wires and fewer are usual. Large ones take turns among themselves, and the fourth is sent away."""
    turn = app.extensions["computing"].turns[Lane.USUAL]
    turn._seconds = 0.05
    first = demo["assemblies"][0]
    large = {**demo, "assemblies": [{**first, "quantity": 41}]}
    with Held(turn):
        assert client.post("/v1/quotes/preview", json=demo).status_code == 200
        assert client.post("/v1/quotes/preview", json={**demo, "assemblies": [{**first, "quantity": 40}]}).status_code == 200
        assert client.post("/v1/quotes/preview", json=large).status_code == 503
    assert client.post("/v1/quotes/preview", json=large).status_code == 200
