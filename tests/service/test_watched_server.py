"""Observability of the real server: its log line by line, its metrics across all workers, its shutdown under load."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.demo import demo_names, demo_request
from tests.service.test_server import BODY, JSON, KEY, PATIENCE, call, free_port, started, stopped, wait_for
from tests.service.test_slow_clients import everything, half
from tests.service.test_watch import SECRETS, personal

COPIES = 12  # of the demo's assemblies: a request that takes a while
ASKED = 3  # at once: one is computed, the others wait


def measured(port: int) -> dict[tuple[str, str, str], float]:
    """Samples by name, route and status."""
    status, headers, body = call(port, "GET", "/metrics")
    assert status == 200
    assert headers["Content-Type"].startswith("text/plain")
    families = text_string_to_metric_families(body.decode())
    return {
        (each.name, each.labels.get("route", ""), each.labels.get("status", "")): each.value
        for family in families
        for each in family.samples
    }


def workers(server: int) -> list[int]:
    """Processes that this server forked and that answer requests."""
    return [int(each) for each in Path(f"/proc/{server}/task/{server}/children").read_text().split()]


@pytest.mark.long
def test_every_line_is_json_and_none_has_anybodys_data(tmp_path: Path) -> None:
    port = free_port()
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        server = started(tmp_path, port, log, SERVICE_LOG_FORMAT="json")
    wait_for(server, port)
    asked = json.dumps(personal(json.loads(BODY))).encode()
    status, headers, _ = call(port, "POST", "/v1/quotes", asked, JSON)
    assert status == 201
    link = json.loads(call(port, "POST", f"{headers['Location']}/links", b"{}", JSON)[2])
    token = re.search(r"token=([^&\"]+)", json.dumps(link))[1]
    for path, bearer in (
        (f"{headers['Location']}?token={token}", None),
        (f"/v1/nobody/{SECRETS['tag']}", KEY),
        (headers["Location"], "wrong-key"),
    ):
        call(port, "GET", path, headers={"Authorization": f"Bearer {bearer}"} if bearer else {})
    call(port, "POST", "/v1/quotes", asked[:-1], JSON)
    call(port, "POST", "/v1/quotes", asked.replace(b"readings", b"reading"), JSON)
    with closing(half(port, f"GET /{SECRETS['tag']} HTTP/9.9\r\nX: {KEY}\r\n\r\n".encode())) as client:
        refused = everything(client)
    code, _ = stopped(server)
    assert code == 0
    said = (tmp_path / "log").read_text(encoding="utf-8")
    lines = [json.loads(each) for each in said.splitlines() if each.startswith("{")]
    told = [each for each in said.splitlines() if not each.startswith("{")]
    assert not [each for each in told if "Traceback" in each or "request" in each.replace("demo-requests", "")]
    requests = [each for each in lines if each["message"] == "request"]
    assert [(each["method"], each["status"]) for each in requests if each["route"] == "/v1/quotes"] == [
        ("POST", 201),
        ("POST", 400),
        ("POST", 422),
    ]
    assert {each["key"] for each in requests if each["route"] == "/v1/quotes"} == {"demo"}
    below = [each for each in lines if each["message"] == "rejected by the HTTP server"]
    assert [each["status"] for each in below] == [505]
    assert f"X-Request-Id: {below[0]['request_id']}".encode() in refused
    logged = "\n".join(json.dumps(each, ensure_ascii=False) for each in lines)
    for secret in (*SECRETS.values(), token, KEY, "wrong-key", headers["Location"].rsplit("/", 1)[1]):
        assert secret not in logged, secret


@pytest.mark.long
def test_measures_are_of_all_workers_and_outlast_one(tmp_path: Path) -> None:
    port = free_port()
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        server = started(tmp_path, port, log, TMPDIR=str(tmp_path))
    wait_for(server, port)
    try:
        for _ in range(30):
            assert call(port, "GET", "/v1/findings")[0] == 200
        assert measured(port)["quotes_requests_total", "/v1/findings", "200"] == 30
        assert {measured(port)["quotes_requests_in_hand", "", ""] for _ in range(10)} == {1}
        folder = next(tmp_path.glob("quotes-measures-*"))
        of_a_worker = {int(re.search(r"livesum_(\d+)", each.name)[1]) for each in folder.glob("gauge_livesum_*.db")}
        answering = sorted(of_a_worker & set(workers(server.pid)))
        assert answering
        os.kill(answering[0], signal.SIGKILL)
        until = time.monotonic() + PATIENCE
        while list(folder.glob(f"gauge_live*_{answering[0]}.db")) and time.monotonic() < until:
            time.sleep(0.1)
        assert not list(folder.glob(f"gauge_live*_{answering[0]}.db"))
        assert measured(port)["quotes_requests_total", "/v1/findings", "200"] == 30
        assert measured(port)["quotes_requests_in_hand", "", ""] == 1
    finally:
        code, _ = stopped(server)
    assert code == 0
    assert not list(tmp_path.glob("quotes-measures-*"))


def large() -> bytes:
    asked: dict[str, Any] = json.loads(demo_request(demo_names()[0]))
    several = [{**each, "tag": f"{each['tag']}-{copy}"} for copy in range(COPIES) for each in asked["assemblies"]]
    return json.dumps({**asked, "assemblies": several}).encode()


@pytest.mark.long
def test_a_stop_lets_slow_requests_end_and_takes_no_new_ones(tmp_path: Path) -> None:
    port, body, answers = free_port(), large(), []
    with (tmp_path / "log").open("w", encoding="utf-8") as log:
        server = started(tmp_path, port, log)
    wait_for(server, port)

    def ask() -> None:
        answers.append((call(port, "POST", "/v1/quotes/preview", body, JSON)[0], time.monotonic()))

    threads = [threading.Thread(target=ask) for _ in range(ASKED)]
    for thread in threads:
        thread.start()
    while call(port, "GET", "/livez") and measured(port)["quotes_requests_in_hand", "", ""] <= ASKED and not answers:
        time.sleep(0.02)
    server.send_signal(signal.SIGTERM)
    asked_at, refused_at = time.monotonic(), None
    while refused_at is None and time.monotonic() < asked_at + PATIENCE:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=5).close()
            time.sleep(0.02)
        except ConnectionRefusedError:
            refused_at = time.monotonic()
    for thread in threads:
        thread.join(PATIENCE)
    code, _ = stopped(server) if server.poll() is None else (server.returncode, "")
    assert code == 0, (tmp_path / "log").read_text(encoding="utf-8")[-2000:]
    assert [status for status, _ in answers] == [200] * ASKED
    late = [at for _, at in answers if at > asked_at]
    if len(late) < 2:
        pytest.fail("the requests had ended before the stop: make them slower")
    assert refused_at is not None
    assert refused_at < max(late)  # refused while others were still at work
