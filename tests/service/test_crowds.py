"""Many connections from one address, or from many, that only wait: there is still room for the next client. And workers exit with their
master.

The server's timeouts here are longer than any test, so a client that is served did not wait for earlier ones to time out.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from pathlib import Path

import pytest

from tests.service.test_kills import workers_of
from tests.service.test_price_budget import request_of
from tests.service.test_server import BODY, JSON, PATIENCE, call, free_port, patience, started, stopped, wait_for

pytestmark = pytest.mark.long  # they take every place of a server of their own
PLACES = 160  # of the one worker here, in place of a thousand
FEW = (patience(3600)[0], f"from service.server import gunicorn_conf; gunicorn_conf.PLACES = {PLACES}; {patience(3600)[1]}")
HALF = b"GET /livez HTTP/1.1\r\nHo"


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    port, folder = free_port(), tmp_path_factory.mktemp("crowd")
    with (folder / "said").open("w+") as said:
        server = started(folder, port, said, run=FEW, SERVICE_WORKERS="1", SERVICE_BATCH_WORKERS="0")
        wait_for(server, port)
        yield port
        code, _ = stopped(server)
        said.seek(0)
        words = said.read()
    assert code == 0, words
    assert "Traceback" not in words


def from_address(port: int, address: str, sent: bytes) -> socket.socket:
    client = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE, source_address=(address, 0))
    if sent:
        client.sendall(sent)
    return client


def everything(client: socket.socket) -> bytes:
    found = b""
    with suppress(ConnectionResetError):
        while piece := client.recv(65536):
            found += piece
    return found


def left_open(clients: list[socket.socket]) -> int:
    found = 0
    for client in clients:
        client.setblocking(False)
        with suppress(ConnectionError):
            try:
                client.recv(1, socket.MSG_PEEK)
            except BlockingIOError:
                found += 1
    return found


@pytest.mark.parametrize("sent", [b"", HALF])
def test_one_address_has_half_of_the_places_and_its_oldest_make_room(port: int, sent: bytes) -> None:
    with ExitStack() as closing_all:
        crowd = [closing_all.enter_context(closing(from_address(port, "127.0.0.2", sent))) for _ in range(PLACES + 40)]
        for address in ("127.0.0.1", "127.0.0.2"):  # its own newcomers as well
            with closing(from_address(port, address, b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")) as client:
                assert everything(client).startswith(b"HTTP/1.1 200 ")
        if sent:
            assert everything(crowd[0]).startswith(b"HTTP/1.1 503 ")
        assert left_open(crowd) <= PLACES // 2


def test_many_addresses_leave_room_too(port: int) -> None:
    with ExitStack() as closing_all:
        for place in range(PLACES + 40):
            closing_all.enter_context(closing(from_address(port, f"127.0.0.{2 + place % 20}", HALF)))
        assert call(port, "GET", "/livez")[0] == 200


def test_kept_connections_make_room_too(port: int) -> None:
    with ExitStack() as closing_all:
        crowd = [closing_all.enter_context(closing(from_address(port, "127.0.0.2", b""))) for _ in range(PLACES // 2)]
        for client in crowd:
            client.sendall(b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
            assert client.recv(12) == b"HTTP/1.1 200"
        crowd += [closing_all.enter_context(closing(from_address(port, "127.0.0.2", HALF))) for _ in range(PLACES)]
        assert call(port, "GET", "/livez")[0] == 200


def test_an_empty_line_before_half_a_request_takes_no_thread(port: int) -> None:
    """RFC 9112, 2.2: the line is ignored. More of them than the server has threads."""
    with ExitStack() as closing_all:
        for _ in range(40):
            closing_all.enter_context(closing(from_address(port, "127.0.0.2", b"\r\n\r\n" + HALF)))
        time.sleep(0.3)
        assert call(port, "GET", "/livez")[0] == 200
        with closing(from_address(port, "127.0.0.1", b"\r\nGET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")) as client:
            assert everything(client).startswith(b"HTTP/1.1 200 ")


ENDLESS = """
from service.engine.engine import Engine
def quote(*_):
    while True:
        pass
Engine.quote = quote
from service.__main__ import main
raise SystemExit(main([]))
"""


OF_A_SERVER = 5  # one that answers, one for batches, the keeper of those that compute, and one of them for each of two lines


def below(process: int) -> list[int]:
    """Its children and theirs."""
    return [every for each in workers_of(process) for every in (each, *below(each))]


def running(process: int) -> bool:
    """Whether it still does something; one that nobody has buried yet does not (Linux)."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_workers_end_with_a_killed_master_amid_a_computation(tmp_path: Path) -> None:
    """Those that answer, those that work on batches and those that compute, each in a computation without end."""
    port = free_port()
    with (tmp_path / "said").open("w") as said:
        server = started(
            tmp_path, port, said, run=["-c", ENDLESS], SERVICE_WORKERS="1", SERVICE_BATCH_WORKERS="1", SERVICE_COMPUTING_WORKERS="1"
        )
        wait_for(server, port)
        until = time.monotonic() + PATIENCE
        while len(workers := below(server.pid)) < OF_A_SERVER and time.monotonic() < until:
            time.sleep(0.1)
        assert len(workers) == OF_A_SERVER
        assert call(port, "POST", "/v1/batches", BODY.replace(b"\n", b" ") + b"\n", {"Content-Type": "application/x-ndjson"})[0] == 202
        asking = [threading.Thread(target=_ask, args=(port, body)) for body in (BODY, json.dumps(request_of(30, 1)).encode())]
        for each in asking:
            each.start()
        time.sleep(1.5)
        os.kill(server.pid, signal.SIGKILL)
        server.wait()
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and any(map(running, workers)):
            time.sleep(0.05)
        left = [each for each in workers if running(each)]
        for each in left:
            os.kill(each, signal.SIGKILL)
        for each in asking:
            each.join()
    assert left == []


def _ask(port: int, body: bytes) -> None:
    with suppress(OSError, ValueError):
        call(port, "POST", "/v1/quotes/preview", body, JSON)
