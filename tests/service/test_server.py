"""The real server on a loopback port: what only a socket can show."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from service.demo import demo_names, demo_request
from service.storage import Quotes
from service.storage.stored_quotes import kept_quotes
from tests.counts import some
from tests.service.contract import judge_of, validator

ROOT = Path(__file__).parents[2]
BODY = demo_request(demo_names()[0])
KEY = "a-key-for-tests"
JSON = {"Content-Type": "application/json"}
KEYED = f"Authorization: Bearer {KEY}\r\n".encode()
PATIENCE = 120


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


def started(
    folder: Path, port: int, out: Any = subprocess.PIPE, run: Sequence[str] = ("-m", "service"), **settings: str
) -> subprocess.Popen[str]:
    """The server as the one command starts it; `out` takes what it prints, a pipe only where that is little; `run` begins it otherwise."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")}
    environment |= {"SERVICE_PORT": str(port), "SERVICE_TODAY": "2026-11-25", "SERVICE_DEMO_KEY": KEY, "PYTHONPATH": str(ROOT), **settings}
    return subprocess.Popen([sys.executable, *run], cwd=folder, env=environment, text=True, stdout=out, stderr=subprocess.STDOUT)


def patience(seconds: float, **bodies: int) -> tuple[str, str]:
    """How a server is begun that waits so long for whoever sends half of something, or drips: who is answered beside an endless one did not wait for it.

    `bodies`: what else is set in `service.http.bodies`.
    """
    more = "".join(f"bodies.{name} = {value}; " for name, value in bodies.items())
    slow = f"{more}connection.PAUSE_SECONDS = bodies.PATIENCE_SECONDS = bodies.DISCARD_SECONDS = buffering.GATHER_SECONDS = {seconds}"
    words = f"from service.http import bodies; from service.server import buffering, connection; {slow}; from service.__main__ import main; raise SystemExit(main([]))"
    return "-c", words


def stopped(server: subprocess.Popen[str]) -> tuple[int, str]:
    """Ask it to stop, by its process id, and wait; its exit code and what it printed."""
    server.send_signal(signal.SIGTERM)
    try:
        said, _ = server.communicate(timeout=PATIENCE)
    except subprocess.TimeoutExpired:
        server.kill()
        said, _ = server.communicate()
    return server.returncode, said


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """A server over a new SQLite file, as the one command starts it, but with more patience for slow clients than any test has."""
    port = free_port()
    server = started(tmp_path_factory.mktemp("server"), port, run=patience(3600), SERVICE_MAX_BODY_BYTES="100000")
    wait_for(server, port)
    yield port
    code, said = stopped(server)
    assert code == 0, said
    assert "/v1/demo-requests/" in said
    assert "Traceback" not in said


def wait_for(server: subprocess.Popen[str], port: int) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until and server.poll() is None:
        try:
            if call(port, "GET", "/readyz")[0] == 200:
                return
        except OSError:
            time.sleep(0.1)
    server.kill()
    pytest.fail(f"the server did not start: {server.communicate()[0]}")


def call(
    port: int, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None
) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request(method, path, body, {"Authorization": f"Bearer {KEY}", **(headers or {})})
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()
    finally:
        connection.close()


def raw(port: int, sent: bytes) -> tuple[int, str, Any]:
    """Send bytes as they are; status, media type and decoded body."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as connection:
        connection.sendall(sent)
        connection.shutdown(socket.SHUT_WR)
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        return answer.status, answer.headers.get_content_type(), json.loads(answer.read())


@pytest.fixture(autouse=True)
def still_answering(port: int) -> Iterator[None]:
    yield
    assert call(port, "GET", "/livez")[0] == 200


def test_a_quote_is_made_and_read_back_by_whichever_worker(port: int) -> None:
    status, headers, body = call(port, "POST", "/v1/quotes", BODY, JSON)
    assert status == 201
    assert judge_of("Quote").complaints(json.loads(body)) == []
    for _ in range(8):
        status, again, read = call(port, "GET", headers["Location"])
        assert (status, read, again["ETag"]) == (200, body, headers["ETag"])
    assert call(port, "GET", headers["Location"], headers={"If-None-Match": headers["ETag"]})[0] == 304


def test_many_posts_at_once_get_consecutive_numbers_over_all_workers(port: int) -> None:
    count = some(50, 24)
    with ThreadPoolExecutor(20) as pool:
        answers = list(pool.map(lambda _: call(port, "POST", "/v1/quotes", BODY, JSON), range(count)))
    assert {status for status, _, _ in answers} == {201}
    numbers = sorted(int(json.loads(body)["number"].rpartition("-")[2]) for _, _, body in answers)
    assert numbers == list(range(numbers[0], numbers[0] + count))


def test_the_list_of_bad_bodies_is_refused_over_the_wire(port: int) -> None:
    bodies = {
        b'{"assemblies": NaN}': 400, b'{"a": 1e400}': 400, b"[" * 10_000: 400, b'{"a": "\0"}': 400, b'{"a": "\xff"}': 400, b"": 400, b"{}": 422,
        BODY.replace(b"readings", b"reading"): 422, b'{"note": "' + b"x" * 5_000_000 + b'"}': 413,
    }  # fmt: skip
    for body, expected in bodies.items():
        for path in ("/v1/quotes/preview", "/v1/quotes"):
            status, headers, answer = call(port, "POST", path, body, {**JSON, "Content-Length": str(len(body))})
            assert (status, headers["Content-Type"]) == (expected, "application/problem+json"), body[:40]
            validator("Problem").validate(json.loads(answer))


def test_a_body_in_chunks_is_411(port: int) -> None:
    sent = (
        b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\n"
        + KEYED
        + b"Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n"
    )
    assert raw(port, sent)[:2] == (411, "application/problem+json")


def test_a_post_without_length_or_body_is_411(port: int) -> None:
    assert raw(port, b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\n" + KEYED + b"Content-Type: application/json\r\n\r\n")[0] == 411


@pytest.mark.parametrize(
    ("sent", "expected"),
    [
        (b"nonsense\r\n\r\n", 400),
        (b"GET /livez HTTP/9.9\r\nHost: x\r\n\r\n", 505),
        (b"GET /livez HTTP/1.2\r\nHost: x\r\n\r\n", 505),
        (b"GET /livez HTTP/x.2\r\nHost: x\r\n\r\n", 400),
        (b"GET /livez HTTP/1.1\r\n\r\n", 400),
        (b"GET /livez HTTP/1.1\r\nHost: x\r\nHost: y\r\n\r\n", 400),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Length: " + b"9" * 400 + b"\r\n\r\n{}", 401),
        (b"GET /livez HTTP/1.1\r\nHost x\r\n\r\n", 400),
        (b"G@T /livez HTTP/1.1\r\nHost: x\r\n\r\n", 400),
        (b"GET /" + b"a" * 5_000 + b" HTTP/1.1\r\nHost: x\r\n\r\n", 414),
        (b"GET /livez HTTP/1.1\r\nHost: x\r\n" + b"A: b\r\n" * 80 + b"\r\n", 431),
        (b"GET /livez HTTP/1.1\r\nHost: x\r\nA: " + b"b" * 9_000 + b"\r\n\r\n", 431),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n", 400),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nContent-Length: 3\r\n\r\n{}", 400),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}", 400),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: squeezed\r\n\r\n{}", 501),
        (b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nExpect: miracle\r\n\r\n{}", 417),
    ],
)  # fmt: skip
def test_what_is_no_http_is_a_problem_too(port: int, sent: bytes, expected: int) -> None:
    status, media, body = raw(port, sent)
    assert (status, media) == (expected, "application/problem+json")
    assert body["status"] == expected
    validator("Problem").validate(body)


@pytest.mark.parametrize(
    ("fields", "header", "code"),
    [
        (b"", "Host", "malformed_request"),
        (b"Host: x\r\nHost: y", "Host", "malformed_request"),
        (b"Host: x\r\nX-Long: " + b"b" * 9_000, "X-Long", "head_too_large"),
        (b"Host: x\r\nContent-Length: -5", "Content-Length", "malformed_request"),
        (b"Host: x\r\nTransfer-Encoding: chunked", "Content-Length", "length_required"),
        (b"Host: x\r\nTransfer-Encoding: squeezed", "Transfer-Encoding", "malformed_request"),
        (b"Host: x\r\nExpect: miracle", "Expect", "malformed_request"),
    ],
)
def test_what_is_refused_below_the_application_names_its_header(port: int, fields: bytes, header: str, code: str) -> None:
    _, _, body = raw(port, b"POST /v1/quotes HTTP/1.1\r\n" + fields + b"\r\n\r\n")
    assert [(each["header"], each["code"]) for each in body["errors"]] == [(header, code if body["status"] != 501 else "failed")]
    validator("Problem").validate(body)


def test_a_kept_connection_survives_a_refusal(port: int) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        for body, expected in ((b"{", 400), (b"{}", 422), (b"x" * 200_000, 413), (b"x" * 5_000_000, 413), (BODY, 200)):
            connection.request("POST", "/v1/quotes/preview", body, {**JSON, "Authorization": f"Bearer {KEY}"})
            answer = connection.getresponse()
            answer.read()
            assert answer.status == expected
    finally:
        connection.close()


def test_idle_connections_do_not_stop_a_probe(port: int) -> None:
    held = [socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) for _ in range(40)]
    try:
        for number, connection in enumerate(held):
            connection.sendall(
                (
                    b"",
                    b"GET /livez HT",
                    b"POST /v1/quotes HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n{",
                )[number % 3]
            )
        assert call(port, "GET", "/livez")[0] == 200
    finally:
        for connection in held:
            connection.close()


def test_no_answer_tells_where_the_service_lives(port: int) -> None:
    for path in ("/", "/v1/quotes/x", "/v1/catalogue/x", "/v1/demo-requests/..%2f..%2fsettings"):
        status, _, body = call(port, "GET", path)
        assert status == 404
        assert str(ROOT).encode() not in body
        assert b".py" not in body


@pytest.mark.long
def test_a_stop_ends_what_is_at_work_and_loses_nothing(tmp_path: Path) -> None:
    """SIGTERM amid requests: each is answered whole or not taken, and what was answered is stored."""
    port = free_port()
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        server = started(tmp_path, port, log)
    wait_for(server, port)
    begun, answers, refused = threading.Barrier(13), [], []

    def ask() -> None:
        begun.wait()
        for _ in range(200):
            try:
                answers.append(call(port, "POST", "/v1/quotes", BODY, JSON))
            except (ConnectionError, http.client.RemoteDisconnected):
                refused.append(1)
                return

    threads = [threading.Thread(target=ask) for _ in range(12)]
    for thread in threads:
        thread.start()
    begun.wait()
    time.sleep(0.7)
    code, _ = stopped(server)
    for thread in threads:
        thread.join(60)
    assert code == 0, (tmp_path / "log").read_text(encoding="utf-8")[-2000:]
    assert {status for status, _, _ in answers} == {201}
    assert len(refused) == 12  # each came to its end after the stop
    store = Quotes(f"sqlite:///{tmp_path}/quotes.sqlite3")
    kept = {each.id for each in kept_quotes(store)}
    store.close()
    assert {json.loads(body)["id"] for _, _, body in answers} == kept  # no more, either: nothing was at work that was not answered


@pytest.mark.long
def test_a_stop_waits_for_no_worker_that_has_yet_to_begin(tmp_path: Path) -> None:
    """Workers that are slow to come to take requests, and a master that would wait an hour for them to end."""
    words = (
        "import pathlib, time; from service.server import gunicorn_conf, worker; usual = gunicorn_conf.options\n"
        "gunicorn_conf.options = lambda settings: {**usual(settings), 'graceful_timeout': 3600, 'timeout': 3600}\n"
        "worker.end_with = lambda parent: (pathlib.Path(f'begun-{time.monotonic_ns()}').touch(), time.sleep(200))\n"
        "from service.__main__ import main; raise SystemExit(main([]))"
    )
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        server = started(tmp_path, free_port(), log, run=["-c", words], SERVICE_WORKERS="2", SERVICE_BATCH_WORKERS="0")
    until = time.monotonic() + PATIENCE
    while len(list(tmp_path.glob("begun-*"))) < 2 and time.monotonic() < until:
        time.sleep(0.05)
    code, _ = stopped(server)
    assert code == 0, (tmp_path / "log").read_text(encoding="utf-8")[-2000:]
