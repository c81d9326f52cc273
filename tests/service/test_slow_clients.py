"""Clients that send nothing, half a head or half a body: they delay nobody, and each is disconnected in time.

Two servers: one whose timeout exceeds any test, so that whoever it serves did not wait for them; one with a timeout of two seconds.
"""

from __future__ import annotations

import http.client
import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from pathlib import Path

import pytest

from tests.counts import some_of
from tests.service.test_server import BODY, JSON, KEY, KEYED, PATIENCE, call, free_port, patience, started, stopped, wait_for

EACH = 40
SHORT = 2.0
HEAD = b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n" + KEYED
FORM = b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 9000000\r\n\r\na=b"
HALVES = {
    "idle": b"",
    "half a head": HEAD,
    "half a body": HEAD + b"Content-Length: 5000\r\n\r\n{",
    "half a large body": b"POST /v1/batches HTTP/1.1\r\nHost: x\r\nContent-Length: 9000000\r\n\r\n[",  # without a key
    "a large body to nowhere": b"POST /nothing HTTP/1.1\r\nHost: x\r\nContent-Length: 9000000\r\n\r\n[",
    "a body too large": HEAD + b"Content-Length: 9000000\r\n\r\n[",
    "half a batch": b"POST /v1/batches HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
    + KEYED
    + b"Content-Length: 9000000\r\n\r\n{",
    "a large form": b"POST /form HTTP/1.1\r\nHost: x\r\nAccept: text/html\r\n" + FORM,
    "a large form at the desk": b"POST /desk/sign-out HTTP/1.1\r\nHost: x\r\nOrigin: http://x\r\n" + FORM,
    "half of the next request": b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\nGET /livez HTTP/1.1\r\nHo",
    "half of the next body": b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n" + HEAD + b"Content-Length: 5000\r\n\r\n{",
    "a padded length": HEAD + b"Content-Length: 00000000000000005000\r\n\r\n{",
    "a body on demand": HEAD + b"Content-Length: 5000\r\nExpect: 100-continue\r\n\r\n",
}

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """A server that waits an hour for each of them."""
    yield from serving(tmp_path_factory.mktemp("slow"), 3600)


@pytest.fixture(scope="module")
def hasty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """A server that waits for two seconds, and as long again for a large body only where it comes at full speed."""
    yield from serving(tmp_path_factory.mktemp("hasty"), SHORT, LEAST_PACE=10_000_000)


def serving(folder: Path, seconds: float, **bodies: int) -> Iterator[int]:
    port = free_port()
    with (folder / "said").open("w+") as said:  # a line for each of them is more than a pipe holds
        server = started(folder, port, said, run=patience(seconds, **bodies), SERVICE_WORKERS="1", SERVICE_BATCH_WORKERS="0")
        wait_for(server, port)
        yield port
        with closing(half(port, b"")), closing(half(port, HALVES["half a head"])):  # for idle clients it does not wait
            code, _ = stopped(server)
        said.seek(0)
        words = said.read()
    assert code == 0, words
    assert "stopped before" not in words
    assert "Traceback" not in words


def half(port: int, sent: bytes) -> socket.socket:
    client = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)
    client.sendall(sent)
    return client


def everything(client: socket.socket) -> bytes:
    found = b""
    while piece := client.recv(65536):
        found += piece
    return found


@pytest.mark.parametrize(
    "kinds",
    some_of(
        [
            ["idle", "half a head", "half a body"],
            ["half a large body", "a body on demand"],
            ["a large body to nowhere"],
            ["a body too large"],
            ["half a batch"],
            ["a large form"],
            ["a large form at the desk"],
            ["a padded length"],
            ["half of the next request", "half of the next body"],
        ],
        2,
    ),
)
def test_clients_that_send_half_of_something_stop_nobody(port: int, kinds: list[str]) -> None:
    """More of them than the server has threads, 64: with a thread each nobody else would be answered."""
    with ExitStack() as open_ones:
        for kind in kinds:
            for _ in range(2 * EACH):
                open_ones.enter_context(closing(half(port, HALVES[kind])))
        time.sleep(0.5)
        for _ in range(5):
            assert call(port, "GET", "/livez")[0] == 200
        assert call(port, "POST", "/v1/quotes", BODY, {**JSON, "Authorization": f"Bearer {KEY}"})[0] == 201


DRIPS = {
    "a body that nobody asked for": b"POST /nothing HTTP/1.1\r\nHost: x\r\nContent-Length: 000000000000000000005000\r\n\r\n",
    "chunks": b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n1000\r\n",
    "chunks without a key": b"GET /livez HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n1000\r\n",
    "half a batch": HALVES["half a batch"],
}


@pytest.mark.parametrize("kind", some_of([*DRIPS], 1))
def test_clients_that_send_a_byte_now_and_then_stop_nobody(port: int, kind: str) -> None:
    slow: list[socket.socket] = []
    done = threading.Event()

    def drip() -> None:
        while not done.wait(0.02):
            for each in slow:
                with suppress(OSError):
                    each.send(b" ")

    with ExitStack() as open_ones:
        dripping = threading.Thread(target=drip)
        dripping.start()
        open_ones.callback(dripping.join)
        open_ones.callback(done.set)
        for _ in range(2 * EACH):
            slow.append(open_ones.enter_context(closing(half(port, DRIPS[kind]))))
        time.sleep(0.5)
        for _ in range(5):
            assert call(port, "GET", "/livez")[0] == 200


def test_a_body_in_chunks_is_refused_with_what_to_send(port: int) -> None:
    """RFC 9112, 6.1 and 6.3: a server may ask for a length, by 411, and then closes."""
    with closing(half(port, DRIPS["chunks"])) as client:
        head, _, body = everything(client).partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 411 ")
    assert "Content-Length" in json.loads(body)["detail"]


def test_a_large_body_that_drips_is_ended_in_its_time(hasty: int) -> None:
    """Its bytes never pause; only the whole has taken too long."""
    begun = time.monotonic()
    with closing(half(hasty, HALVES["half a batch"])) as slow:
        slow.settimeout(0.2)
        said = b""
        while not said and time.monotonic() < begun + PATIENCE:
            slow.send(b" ")
            with suppress(TimeoutError):
                said = slow.recv(4096)
    assert said.startswith(b"HTTP/1.1 408 ")
    assert time.monotonic() - begun > SHORT


def test_half_a_request_is_ended_with_408_and_silence_without_a_word(hasty: int) -> None:
    begun = time.monotonic()
    with closing(half(hasty, HALVES["half a body"])) as slow, closing(half(hasty, b"")) as idle:
        head, _, body = everything(slow).partition(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 408 ")
        assert b"application/problem+json" in head
        assert json.loads(body)["status"] == 408
        assert time.monotonic() - begun > SHORT
        assert everything(idle) == b""


def test_half_a_batch_is_ended_with_408(hasty: int) -> None:
    begun = time.monotonic()
    with closing(half(hasty, HALVES["half a batch"])) as slow:
        head, _, body = everything(slow).partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 408 ")
    assert json.loads(body)["status"] == 408
    assert time.monotonic() - begun > SHORT


@pytest.mark.parametrize(("kind", "status"), [("a large body to nowhere", 404), ("a body too large", 413)])
def test_half_a_body_that_nobody_wants_is_refused_as_it_would_be_whole(hasty: int, kind: str, status: int) -> None:
    with closing(half(hasty, HALVES[kind])) as slow:
        assert everything(slow).startswith(f"HTTP/1.1 {status} ".encode())


def test_a_request_in_many_pieces_is_one_request(port: int) -> None:
    request = HEAD + f"Content-Length: {len(BODY)}\r\nConnection: close\r\n\r\n".encode() + BODY
    with closing(half(port, b"")) as client:
        for place in range(0, len(request), 997):
            client.sendall(request[place : place + 997])
            time.sleep(0.01)
        assert everything(client).startswith(b"HTTP/1.1 201 ")


def test_two_requests_sent_at_once_get_two_answers_in_their_order(port: int) -> None:
    first, last = b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n", b"GET /openapi.yaml HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"
    with closing(half(port, first + last)) as client:
        said = everything(client)
    assert said.count(b"HTTP/1.1 200 OK") == 2
    assert said.index(b"alive") < said.index(b"openapi:")


def test_a_client_that_asks_before_it_sends_is_told_to_go_on(port: int) -> None:
    """RFC 9110, 10.1.1."""
    with closing(half(port, HEAD + f"Content-Length: {len(BODY)}\r\nExpect: 100-continue\r\nConnection: close\r\n\r\n".encode())) as client:
        assert client.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
        client.sendall(BODY)
        assert everything(client).startswith(b"HTTP/1.1 201 ")


@pytest.mark.parametrize(
    ("sent", "status"),
    [
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc", 400),  # the beginning of TLS
        (b"hello\n", 400),
        (b"GET / HTTP/1.1\n\n", 400),
        (b"GET /" + b"a" * 9000, 414),
        (b"GET / HTTP/1.1\r\n" + b"X: " + b"a" * 600_000, 431),
    ],
)
def test_what_is_no_request_is_refused_at_once(port: int, sent: bytes, status: int) -> None:
    with closing(half(port, b"")) as client:
        try:
            client.sendall(sent)
        except (BrokenPipeError, ConnectionResetError):
            assert len(sent) > 100_000
        try:
            assert everything(client).startswith(f"HTTP/1.1 {status} ".encode())
        except ConnectionResetError:  # its refusal was overtaken, as it may be where far more is sent than is read
            assert len(sent) > 100_000


def test_a_client_that_does_not_close_its_side_holds_up_nobody(port: int) -> None:
    with ExitStack() as open_ones:
        for _ in range(EACH):
            client = open_ones.enter_context(closing(half(port, b"GET /livez HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")))
            assert everything(client)  # to the end, but this side stays open
        assert call(port, "GET", "/livez")[0] == 200


def test_clients_that_take_no_replies_hold_up_nobody(port: int) -> None:
    """Each asks for far more than the kernel keeps for it, one after the other, and reads nothing."""
    with ExitStack() as open_ones:
        for _ in range(2 * EACH):
            client = open_ones.enter_context(closing(socket.socket()))
            client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
            client.connect(("127.0.0.1", port))
            client.sendall(b"GET /openapi.yaml HTTP/1.1\r\nHost: x\r\n\r\n" * 60)
        time.sleep(2)
        for _ in range(5):
            assert call(port, "GET", "/livez")[0] == 200


def test_connections_are_kept_and_used_again(port: int) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    connection.connect()
    own = connection.sock.getsockname()
    for _ in range(3):
        connection.request("POST", "/v1/quotes/preview", BODY, {**JSON, "Authorization": f"Bearer {KEY}"})
        answer = connection.getresponse()
        assert answer.status == 200
        answer.read()
        assert connection.sock.getsockname() == own
    connection.close()


def test_a_stop_waits_for_no_idle_client(tmp_path: Path) -> None:
    """It ends by itself; else it would be killed after a minute, as the workers after half of one, with a word of it."""
    port = free_port()
    server = started(tmp_path, port, run=patience(3600))
    wait_for(server, port)
    with closing(half(port, b"")), closing(half(port, HALVES["half a head"])):
        time.sleep(0.3)
        code, said = stopped(server)
    assert (code, "stopped before" in said) == (0, False), said
