"""The service beside a bare Flask view on the same server: `python tests/benchmarks/http_floor.py [seconds]`. No test: nothing here passes or fails.

The floor reads a request of 12 assemblies with `get_json` and answers canned bytes of the reply's size. Both run under gunicorn with the same
settings on loopback, driven in turns by a bounded client (wrk where installed, else threads); ratios are medians over interleaved pairs.
"cpu" is the processor time of the server's processes a request (Linux), which other work on the machine disturbs less than the rate.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402

PAIRS, CLIENTS = 5, 16
Case = tuple[str, str, bytes | None, dict[str, str]]
KEY = "a-key-for-benchmarks"
JSON = {"Content-Type": "application/json"}
KEYED = {"Authorization": f"Bearer {KEY}"}
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


def drive(port: int, method: str, path: str, body: bytes | None, seconds: float, headers: dict[str, str]) -> tuple[float, float]:
    """Requests per second, and the 99th percentile in ms."""
    wrk = shutil.which("wrk")
    return _wrk(wrk, port, method, path, body, seconds, headers) if wrk else _threads(port, method, path, body, seconds, headers)


def _wrk(wrk: str, port: int, method: str, path: str, body: bytes | None, seconds: float, headers: dict[str, str]) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        lines = [f"wrk.method = {json.dumps(method)}"]
        lines += [
            f"wrk.headers[{json.dumps(name)}] = {json.dumps(value)}"
            for name, value in {**KEYED, **headers, **(JSON if body else {})}.items()
        ]
        if body:
            (Path(folder) / "body").write_bytes(body)
            lines.append(f'wrk.body = io.open({json.dumps(folder + "/body")}, "rb"):read("*a")')
        (Path(folder) / "ask.lua").write_text("\n".join(lines))
        said = subprocess.run(
            [wrk, "-t1", f"-c{CLIENTS}", f"-d{max(1, round(seconds))}s", "--latency", "-s", f"{folder}/ask.lua", f"http://127.0.0.1:{port}{path}"],
            capture_output=True, text=True, check=True, timeout=seconds + 60,
        ).stdout  # fmt: skip
    if refused := re.search(r"Non-2xx or 3xx responses: (\d+)", said):
        raise SystemExit(f"{method} {path}: {refused[0]}")
    rate = float(re.search(r"Requests/sec:\s+([\d.]+)", said)[1])  # type: ignore[index]
    slow, unit = re.search(r"99%\s+([\d.]+)(us|ms|s)", said).groups()  # type: ignore[union-attr]
    return rate, float(slow) * {"us": 0.001, "ms": 1, "s": 1000}[unit]


def _threads(port: int, method: str, path: str, body: bytes | None, seconds: float, headers: dict[str, str]) -> tuple[float, float]:
    until, taken = time.monotonic() + seconds, []

    def one() -> None:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        while time.monotonic() < until:
            begun = time.monotonic()
            connection.request(method, path, body, {**KEYED, **headers, **(JSON if body else {})})
            answer = connection.getresponse()
            answer.read()
            if answer.status >= 400:
                raise SystemExit(f"{method} {path}: {answer.status}")
            taken.append(time.monotonic() - begun)
        connection.close()

    threads = [threading.Thread(target=one) for _ in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return len(taken) / seconds, 1000 * sorted(taken)[int(len(taken) * 0.99)]


def main(seconds: float) -> None:
    request = demo_request(demo_names()[0])
    ours, floor = free_port(), free_port()
    with tempfile.TemporaryDirectory() as folder:
        clean = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")} | {"PYTHONPATH": f"{ROOT}:{folder}"}
        url = os.environ.get("BENCHMARK_DATABASE_URL", f"sqlite:///{folder}/quotes.sqlite3")
        settings = {"SERVICE_PORT": str(ours), "SERVICE_TODAY": "2026-11-25", "SERVICE_DEMO_KEY": KEY, "SERVICE_DATABASE_URL": url}
        service = subprocess.Popen([sys.executable, "-m", "service"], cwd=folder, env=clean | settings, stdout=subprocess.DEVNULL)
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
        )
        try:
            ready(floor, "/canned")
            measure((ours, service.pid), (floor, bare.pid), request, len(reply), seconds, url)
        finally:
            for server in (service, bare):
                server.send_signal(signal.SIGTERM)
                server.wait(timeout=40)


def measure(our: tuple[int, int], bare: tuple[int, int], request: bytes, size: int, seconds: float, url: str) -> None:
    print(
        f"request {len(request)} B, reply {size} B, {CLIENTS} clients, {PAIRS} pairs of {seconds:g} s, {url.split(':')[0]}, wrk: {bool(shutil.which('wrk'))}"
    )
    _, _, headers = call(our[0], "POST", "/v1/quotes", request)
    at, etag = headers["Location"], headers["ETag"]
    cases: dict[str, Case] = {
        "preview": ("POST", "/v1/quotes/preview", request, {}),
        "stored POST": ("POST", "/v1/quotes", request, {}),
        "GET gzip": ("GET", at, None, {"Accept-Encoding": "gzip"}),
        "GET plain": ("GET", at, None, {}),
        "GET 304": ("GET", at, None, {"If-None-Match": etag}),
    }
    for name, case in cases.items():
        pairs = [(timed(bare, ("POST", "/floor", request, {}), seconds), timed(our, case, seconds)) for _ in range(PAIRS)]
        ratio, slow, cheap = (statistics.median(taken[each] / floor[each] for floor, taken in pairs) for each in range(3))
        floor, taken = ([statistics.median(pair[side][each] for pair in pairs) for each in range(3)] for side in (0, 1))
        print(
            f"{name:12} {taken[0]:7.0f}/s of {floor[0]:5.0f}/s: {ratio:.2f}   p99 {taken[1]:6.1f} ms of {floor[1]:5.1f}: {slow:4.1f} x"
            f"   cpu {taken[2]:.2f} ms of {floor[2]:.2f}: {1 / cheap:.2f}"
        )


def timed(server: tuple[int, int], case: Case, seconds: float) -> tuple[float, float, float]:
    """Requests per second, 99th percentile in ms, processor time a request in ms."""
    before = cpu_seconds(server[1])
    rate, slow = drive(server[0], *case[:3], seconds, case[3])
    return rate, slow, 1000 * max(cpu_seconds(server[1]) - before, 0.001) / (rate * seconds)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3)
