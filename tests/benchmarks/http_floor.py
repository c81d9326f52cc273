"""The service beside a bare Flask view on the same server: `python tests/benchmarks/http_floor.py [seconds]`. Not a test: nothing here passes or fails.

The floor reads a request of 12 assemblies with `get_json` and answers canned bytes of the reply's size. Both run under gunicorn with the same
settings on loopback, driven in turns over kept connections by one client, which does nothing but send and read; ratios are medians over
interleaved rounds. "cpu" is the processor time of the server's processes a request (Linux), which other work on the machine disturbs less than
the rate. The engine alone is the same request in as many processes as the server has workers, in each round. Of the goals at the end, the rate of
stored quotes and the 99th percentiles are of the clock: on a machine that does other work they say little.
"""

from __future__ import annotations

import http.client
import json
import multiprocessing
import os
import re
import selectors
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402

ROUNDS, CLIENTS, WORKERS = 5, 16, 2
Case = tuple[str, str, bytes | None, dict[str, str]]
KEY = "a-key-for-benchmarks"
JSON = {"Content-Type": "application/json"}
KEYED = {"Authorization": f"Bearer {KEY}"}
POSTED: Case = ("POST", "/floor", None, {})  # with the request
GOT: Case = ("GET", "/canned", None, {})
LOADED: list[Any] = []  # the engine, in a process that has it
FLOOR = """
import os
from flask import Flask, Response, request
CANNED = b"[" + b"0," * (int(os.environ["FLOOR_BYTES"]) // 2 - 1) + b"0]"
app = Flask("floor")
@app.post("/floor")
def floor():
    request.get_json()
    return Response(CANNED, mimetype="application/json")
@app.get("/canned")
def canned():
    return Response(CANNED, mimetype="application/json")
"""


class Taken(NamedTuple):
    """Answers a second, their median and 99th percentile in ms, and the server's processor time an answer in ms."""

    rate: float
    middle: float
    slow: float
    cpu: float


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


def call(port: int, method: str, path: str, body: bytes | None = None) -> tuple[int, bytes, dict[str, str]]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request(method, path, body, {**KEYED, **(JSON if body else {})})
    answer = connection.getresponse()
    found = answer.status, answer.read(), dict(answer.getheaders())
    connection.close()
    return found


def ready(port: int, path: str) -> None:
    for _ in range(200):
        try:
            if call(port, "GET", path)[0] == 200:
                return
        except OSError:
            time.sleep(0.1)
    raise SystemExit(f"nothing answers at {port}")


def cpu_seconds(master: int) -> float:
    """Processor time that a server's workers have taken so far; 0 where /proc is not there."""
    ticks = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(") ")[2].split()
        except OSError:
            continue
        if int(fields[1]) == master:
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


class Client:
    """One kept connection that sends the same request again and again. `taken` are the seconds that each answer took."""

    def __init__(self, port: int, sent: bytes) -> None:
        self.port, self.sent, self.taken = port, sent, list[float]()
        self.open()

    def open(self) -> None:
        self.socket = socket.create_connection(("127.0.0.1", self.port), timeout=30)
        self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def ask(self) -> None:
        self.come, self.whole = bytearray(), 0
        self.begun = time.monotonic()
        self.socket.sendall(self.sent)

    def answered(self) -> bool:
        """Whether all of the answer has come. Raises SystemExit for a refusal."""
        self.come += self.socket.recv(1 << 20)
        if not self.whole:
            head, end, _ = bytes(self.come).partition(b"\r\n\r\n")
            if not end:
                return False
            if int(head[9:12]) >= 400:
                raise SystemExit(f"{self.sent[:60]!r}: {head!r}")
            length = re.search(rb"(?i)\ncontent-length: *(\d+)", head)
            self.whole = len(head) + 4 + (int(length[1]) if length else 0)
            self.closes = b"\nconnection: close" in head.lower()
        if len(self.come) < self.whole:
            return False
        self.taken.append(time.monotonic() - self.begun)
        if self.closes:
            self.socket.close()
            self.open()
        return True


def drive(port: int, case: Case, seconds: float, clients: int) -> list[float]:
    """Milliseconds that each answer took, in ascending order."""
    method, path, body, headers = case
    lines = {"Host": f"127.0.0.1:{port}", **KEYED, **headers, **(JSON | {"Content-Length": str(len(body))} if body else {})}
    head = "".join(f"{name}: {value}\r\n" for name, value in lines.items())
    asking = [Client(port, f"{method} {path} HTTP/1.1\r\n{head}\r\n".encode() + (body or b"")) for _ in range(clients)]
    with selectors.DefaultSelector() as waiting:
        until = time.monotonic() + seconds
        for each in asking:
            each.ask()
            waiting.register(each.socket, selectors.EVENT_READ, each)
        while waiting.get_map():
            for key, _ in waiting.select(30):
                each = key.data
                if not each.answered():
                    continue
                waiting.unregister(key.fileobj)
                if time.monotonic() < until:
                    each.ask()
                    waiting.register(each.socket, selectors.EVENT_READ, each)
    for each in asking:
        each.socket.close()
    return sorted(1000 * taken for each in asking for taken in each.taken)


def main(seconds: float) -> None:
    request = demo_request(demo_names()[0])
    ours, floor = free_port(), free_port()
    with tempfile.TemporaryDirectory() as folder:
        clean = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")} | {"PYTHONPATH": f"{ROOT}:{folder}"}
        url = os.environ.get("BENCHMARK_DATABASE_URL", f"sqlite:///{folder}/quotes.sqlite3")
        settings = {"SERVICE_PORT": str(ours), "SERVICE_TODAY": "2026-11-25", "SERVICE_DEMO_KEY": KEY, "SERVICE_DATABASE_URL": url}
        said = (Path(folder) / "log").open("wb")  # the server's lines, which it writes as always
        service = subprocess.Popen(
            [sys.executable, "-m", "service"], cwd=folder, env=clean | settings, stdout=subprocess.DEVNULL, stderr=said
        )
        ready(ours, "/readyz")
        status, reply, _ = call(ours, "POST", "/v1/quotes/preview", request)
        assert status == 200
        (Path(folder) / "floor_app.py").write_text(FLOOR)
        gunicorn = [
            "gunicorn",
            "-k",
            "gthread",
            "-w",
            "2",
            "--threads",
            "32",
            "--preload",
            "--no-control-socket",
            "--keep-alive",
            "5",
            "--log-level",
            "warning",
        ]
        bare = subprocess.Popen(
            [sys.executable, "-m", *gunicorn, "-b", f"127.0.0.1:{floor}", "floor_app:app"],
            cwd=folder,
            env=clean | {"FLOOR_BYTES": str(len(reply))},
            stderr=said,
        )
        try:
            ready(floor, "/canned")
            measure((ours, service.pid), (floor, bare.pid), request, len(reply), seconds, url)
        finally:
            for server in (service, bare):
                server.send_signal(signal.SIGTERM)
                server.wait(timeout=40)


def quoting(asked: tuple[bytes, float]) -> float:
    """Processor time of the engine a quote in ms: from the request, already read, to its document."""
    from pricing.document import written
    from service.engine.engine import open_engine
    from service.schemas import read_request
    from service.settings import Settings

    body, seconds = asked
    if not LOADED:
        LOADED.append(open_engine(Settings(today=date(2026, 11, 25))))
    engine, count = LOADED[0], 0
    request = read_request(json.loads(body), engine.known_price_lists())
    for _ in range(20):
        written(engine.quote(request))
    began, until = time.process_time(), time.monotonic() + seconds
    while time.monotonic() < until:
        written(engine.quote(request))
        count += 1
    return 1000 * (time.process_time() - began) / count


def measure(our: tuple[int, int], bare: tuple[int, int], request: bytes, size: int, seconds: float, url: str) -> None:
    print(
        f"request {len(request)} B, reply {size} B, {CLIENTS} clients, {ROUNDS} rounds of {seconds:g} s, {url.split(':')[0]}, load {os.getloadavg()[0]:.1f}"
    )
    _, _, headers = call(our[0], "POST", "/v1/quotes", request)
    at, etag = headers["Location"], headers["ETag"]
    cases: dict[str, tuple[Case, Case]] = {
        "preview": (("POST", "/v1/quotes/preview", request, {}), POSTED),
        "stored POST": (("POST", "/v1/quotes", request, {}), POSTED),
        "GET gzip": (("GET", at, None, {"Accept-Encoding": "gzip"}), GOT),
        "GET plain": (("GET", at, None, {}), GOT),
        "GET 304": (("GET", at, None, {"If-None-Match": etag}), GOT),
    }
    found: dict[str, list[tuple[Taken, Taken, Taken]]] = {name: [] for name in cases}
    alone = []
    with multiprocessing.get_context("spawn").Pool(WORKERS) as pool:
        for _ in range(ROUNDS):
            alone.append(statistics.mean(pool.map(quoting, [(request, seconds)] * WORKERS, chunksize=1)))
            for name, (case, beside) in cases.items():
                floor = (*beside[:2], request if beside is POSTED else None, {})
                found[name].append((timed(bare, floor, seconds, CLIENTS), timed(our, case, seconds, CLIENTS), timed(our, case, seconds, 1)))
    print(f"{'':12}{'/s':>6}{'of':>6}{'p50 ms':>8}{'p99':>7}{'one: p50':>10}{'p99':>7}{'cpu ms':>8}{'of':>6}{'x':>6}")
    for name, each in found.items():
        floor, many, one = (Taken(*map(statistics.median, zip(*(mine[side] for mine in each), strict=True))) for side in range(3))
        print(
            f"{name:12}{many.rate:6.0f}{floor.rate:6.0f}{many.middle:8.1f}{many.slow:7.1f}{one.middle:10.2f}{one.slow:7.2f}"
            f"{many.cpu:8.2f}{floor.cpu:6.2f}{over_floor(each):6.2f}"
        )
    print(f"{'engine alone':59}{statistics.median(alone):8.2f}\n")
    print(f"{'goal':34}{'found':>8}{'goal':>9}")
    for words, figure, goal in goals(found, alone):
        print(f"{words:34}{figure:8.2f}{goal:>9}")


def over_floor(each: list[tuple[Taken, Taken, Taken]]) -> float:
    return statistics.median(mine.cpu / floor.cpu for floor, mine, _ in each)


def goals(found: dict[str, list[tuple[Taken, Taken, Taken]]], alone: list[float]) -> Iterator[tuple[str, float, str]]:
    """What is aimed at, what was found, and the goal."""
    for name, most in (("GET 304", "<= 2"), ("GET gzip", "<= 2.5"), ("GET plain", "<= 2.5")):
        yield f"cpu: {name} over bare view", over_floor(found[name]), most
    for name, most in (("preview", "<= 1.6"), ("stored POST", "<= 2.2")):
        yield (
            f"cpu: {name} over engine",
            statistics.median(mine.cpu / each for (_, mine, _), each in zip(found[name], alone, strict=True)),
            most,
        )
    for name, each in found.items():
        yield f"p99 over p50, 1 client: {name}", statistics.median(one.slow / one.middle for _, _, one in each), "<= 2"
        yield f"p99 over p50, {CLIENTS} clients: {name}", statistics.median(many.slow / many.middle for _, many, _ in each), "<= 6"
    yield "stored quotes a second", statistics.median(many.rate for _, many, _ in found["stored POST"]), ">= 250"


def timed(server: tuple[int, int], case: Case, seconds: float, clients: int) -> Taken:
    before, began = cpu_seconds(server[1]), time.monotonic()
    taken = drive(server[0], case, seconds, clients)
    count, wall = len(taken), time.monotonic() - began
    cpu = 1000 * max(cpu_seconds(server[1]) - before, 0.001) / count
    return Taken(count / wall, taken[count // 2], taken[int(count * 0.99)], cpu)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3)
