"""Requests that only read never wait behind those that wait to store something."""

from __future__ import annotations

import sqlite3
import subprocess
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from queue import SimpleQueue

import pytest

from service.server.lanes import Lane
from service.storage import Quotes
from tests.service.test_line import LONG, wait_until
from tests.service.test_server import BODY, JSON, call, free_port, started, stopped, wait_for

#: A server whose writers wait for an hour: who is answered beside one did not wait for it.
PATIENT = (
    "from service.storage import database, engines; database.PATIENCE_SECONDS = engines.PATIENCE_SECONDS = 3600;"
    "from service.__main__ import main; raise SystemExit(main([]))"
)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[int, Path]]:
    """One process with one thread a lane; its port and its database."""
    port = free_port()
    server: subprocess.Popen[str] = started(
        tmp_path, port, subprocess.DEVNULL, ("-c", PATIENT), SERVICE_WORKERS="1", SERVICE_THREADS="1", SERVICE_BATCH_WORKERS="0"
    )
    wait_for(server, port)
    try:
        yield port, next(tmp_path.glob("*.sqlite3"))
    finally:
        stopped(server)


@pytest.mark.long
def test_reads_go_past_quotes_that_wait_to_be_stored(served: tuple[int, Path]) -> None:
    port, file = served
    status, headers, quote = call(port, "POST", "/v1/quotes", BODY, JSON)
    assert status == 201
    answered: list[int] = []
    with closing(sqlite3.connect(file, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        writers = [threading.Thread(target=lambda: answered.append(call(port, "POST", "/v1/quotes", BODY, JSON)[0])) for _ in range(3)]
        for each in writers:
            each.start()
        for path in (headers["Location"], "/v1/quotes", "/readyz"):
            assert call(port, "GET", path)[0] == 200
        assert call(port, "GET", headers["Location"])[2] == quote
        assert not answered
        other.execute("ROLLBACK")
    for each in writers:
        each.join(LONG)
    assert answered == [201] * 3


def test_writers_leave_connections_to_those_who_read(store: Quotes) -> None:
    """Of two connections one: the second who would write waits in line, and for no connection."""
    over = Quotes(store.url, 2)
    through: list[str] = []

    def write() -> None:
        with over.writing():
            through.append("written")

    second = threading.Thread(target=write)
    reader = threading.Thread(target=lambda: through.append(_read(over)))
    with closing(over):
        with over.writing():
            second.start()
            wait_until(lambda: len(over._writing) == 1)
            reader.start()
            reader.join(LONG)
            assert through == ["read"]
        second.join(LONG)
    assert through == ["read", "written"]


def _read(over: Quotes) -> str:
    with over.reading():
        return "read"


def test_a_lane_has_a_thread_for_each_request_up_to_its_most_and_takes_the_others_in_order() -> None:
    lane, go, begun, done = Lane("invented", 2), threading.Event(), SimpleQueue[str](), SimpleQueue[tuple[str, bool]]()

    def handle(name: str) -> bool:
        begun.put(name)
        assert go.wait(LONG)
        if name == "third":
            raise SystemExit
        return name != "second"

    names = ["first", "second", "third", "fourth"]
    for each in names:
        lane.submit(handle, each, lambda name, stays: done.put((name, stays)))  # type: ignore[arg-type]
    assert sorted(begun.get(timeout=LONG) for _ in range(2)) == ["first", "second"]
    assert begun.empty()
    go.set()
    came = dict(done.get(timeout=LONG) for _ in names)
    assert came == {"first": True, "second": False, "third": False, "fourth": True}
    assert [begun.get(timeout=LONG) for _ in range(2)] == ["third", "fourth"]
    lane.shutdown()
