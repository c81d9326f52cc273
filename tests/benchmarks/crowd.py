"""Many clients use the service at once: `python tests/benchmarks/crowd.py [clients] [seconds] [kinds...]`. Not a test: nothing passes or fails.

On each kind of database (sqlite, postgresql) a server on loopback with a database of its own. Each client goes round over one connection: a preview, a quote
with a key of idempotency, that quote read, a page of the list, each answered before the next is sent. For each kind of request: how many,
the median and the 99th percentile in milliseconds, their ratio, and what came by status. The aim: no 5xx, and a ratio of at most 8.
A first round is not counted. `SERVICE_...` settings of the environment are taken over.
"""

from __future__ import annotations

import http.client
import json
import multiprocessing
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402
from tests.benchmarks.batch_kills import own_database  # noqa: E402
from tests.benchmarks.http_floor import KEY, KEYED, free_port, ready  # noqa: E402

PROCESSES = 2
SENT = {**KEYED, "Content-Type": "application/json"}
Came = tuple[str, int | str, float]


class Client:
    """One who goes round until it is over."""

    def __init__(self, port: int, body: bytes, over: float, came: list[Came]) -> None:
        self._port, self._body, self._over, self._came = port, body, over, came
        self._connection: http.client.HTTPConnection | None = None

    def run(self) -> None:
        while time.monotonic() < self._over:
            self._ask("preview", "POST", "/v1/quotes/preview", self._body, SENT)
            made = self._ask("quote", "POST", "/v1/quotes", self._body, {**SENT, "Idempotency-Key": uuid4().hex})
            if made is not None:
                self._ask("read", "GET", f"/v1/quotes/{json.loads(made)['id']}", None, KEYED)
            self._ask("list", "GET", "/v1/quotes?limit=20", None, KEYED)

    def _ask(self, kind: str, method: str, path: str, body: bytes | None, headers: dict[str, str]) -> bytes | None:
        """What was answered, where it was."""
        began, status, said = time.perf_counter(), 0, b""
        told: int | str
        try:
            if self._connection is None:
                self._connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=60)
            self._connection.request(method, path, body, headers)
            answer = self._connection.getresponse()
            told, said = (status := answer.status), answer.read()
        except (OSError, http.client.HTTPException) as error:
            told, self._connection = type(error).__name__, None
        self._came.append((kind, told, (time.perf_counter() - began) * 1000))
        return said if status in (200, 201) else None


def clients(port: int, count: int, seconds: float, told_to: Any) -> None:
    """A process with so many."""
    came: list[Came] = []
    body, over = demo_request(demo_names()[0]), time.monotonic() + seconds
    threads = [threading.Thread(target=Client(port, body, over, came).run) for _ in range(count)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    told_to.put(came)


def drive(port: int, count: int, seconds: float) -> list[Came]:
    """What came to so many in that time."""
    told_to: Any = multiprocessing.Queue()
    shares = [count // PROCESSES + (each < count % PROCESSES) for each in range(PROCESSES)]
    processes = [multiprocessing.Process(target=clients, args=(port, share, seconds, told_to)) for share in shares if share]
    for each in processes:
        each.start()
    came = [one for _ in processes for one in told_to.get(timeout=seconds + 120)]
    for each in processes:
        each.join()
    return came


@contextmanager
def served(folder: str, url: str) -> Iterator[int]:
    """A server over that database."""
    port = free_port()
    told = {"SERVICE_PORT": str(port), "SERVICE_DEMO_KEY": KEY, "SERVICE_DATABASE_URL": url}
    with (Path(folder) / "log").open("wb") as log:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), **told}
        server = subprocess.Popen([sys.executable, "-m", "service"], env=environment, cwd=folder, stdout=log, stderr=log)
        try:
            ready(port, "/readyz")
            yield port
        finally:
            server.send_signal(signal.SIGTERM)
            server.wait(60)


def told(kind: str, seconds: float, came: list[Came]) -> Iterator[str]:
    """The table's lines for one database."""
    found: dict[str, list[tuple[int | str, float]]] = defaultdict(list)
    for name, status, milliseconds in came:
        for row in (name, "all"):
            found[row].append((status, milliseconds))
    for name, each in found.items():
        taken = sorted(milliseconds for _, milliseconds in each)
        median, last = statistics.median(taken), taken[min(len(taken) - 1, int(len(taken) * 0.99))]
        statuses = dict(Counter(status for status, _ in each))
        yield f"{kind:12}{name:10}{len(each):7}{len(each) / seconds:8.1f}{median:9.1f}{last:9.1f}{last / median:7.1f}{taken[-1]:9.1f}  {statuses}"


def main(count: int, seconds: float, kinds: list[str]) -> None:
    """Measure and tell."""
    print(f"{count} clients, {seconds:g} s, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before")
    print(f"{'database':12}{'request':10}{'count':>7}{'a s':>8}{'median':>9}{'p99':>9}{'ratio':>7}{'longest':>9}  statuses")
    for kind in kinds:
        with tempfile.TemporaryDirectory() as folder, own_database() as server:
            with served(folder, server if kind == "postgresql" else f"sqlite:///{folder}/quotes.sqlite3") as port:
                drive(port, 4, 2)
                came = drive(port, count, seconds)
            for line in told(kind, seconds, came):
                print(line, flush=True)


if __name__ == "__main__":
    main(int((sys.argv[1:2] or ["64"])[0]), float((sys.argv[2:3] or ["30"])[0]), sys.argv[3:] or ["sqlite", "postgresql"])
