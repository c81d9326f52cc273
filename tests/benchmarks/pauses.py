"""How long the garbage collector stops a process that answers: `python tests/benchmarks/pauses.py [rounds]`. Not a test.

Previews and stored quotes of 12 assemblies one after another (WSGI, one process, SQLite in a file), in turns with the collector as Python
starts it and as a worker sets it (`service.computing.collector`): the median, the 99th percentile over the median, and processor time as a
ratio of each round.
"""

from __future__ import annotations

import gc
import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.computing.collector import spare_what_is_loaded  # noqa: E402
from tests.benchmarks.boats import each_boat  # noqa: E402

USUAL, EACH = gc.get_threshold(), 150


def as_started() -> None:
    gc.unfreeze()
    gc.set_threshold(*USUAL)


def run(post: Callable[[], Any]) -> tuple[list[float], float]:
    took, begun = [], time.process_time()
    for _ in range(EACH):
        start = time.perf_counter()
        post()
        took.append(1000 * (time.perf_counter() - start))
    return took, time.process_time() - begun


def measured(client: Any, request: dict[str, object], count: int, rounds: int) -> None:
    if count != 12:
        return
    body = json.dumps(request)
    for path in ("/v1/quotes/preview", "/v1/quotes"):
        every: dict[str, list[float]] = {"as started": [], "as a worker": []}
        cpu: list[float] = []

        def post(path: str = path) -> None:
            assert client.post(path, data=body, content_type="application/json").status_code in (200, 201)

        post()
        for _ in range(rounds):
            each = {}
            for name, way in (("as started", as_started), ("as a worker", spare_what_is_loaded)):
                way()
                took, each[name] = run(post)
                every[name] += took
            cpu.append(each["as a worker"] / each["as started"])
        print(f"{path}: processor time as a worker over as started {statistics.median(cpu):.2f}")
        for name, took in every.items():
            middle, last = statistics.median(took), statistics.quantiles(took, n=100)[98]
            print(f"  {name:12s} median {middle:6.2f} ms, p99 {last:7.2f} ms = {last / middle:5.1f} x, most {max(took):7.1f} ms")


if __name__ == "__main__":
    each_boat(measured, int(sys.argv[1]) if len(sys.argv) > 1 else 5)
