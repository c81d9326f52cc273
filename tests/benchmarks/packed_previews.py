"""What a preview costs and weighs, whole and as its summary, plain and as gzip: `python tests/benchmarks/packed_previews.py [rounds]`. Not a test.

Whole requests (WSGI, one process) in turns: processor time, medians of ratios to the whole, plain preview of the same round. Then each level of each
compressor on the same bodies, beside the time of the whole preview.
"""

from __future__ import annotations

import gzip
import json
import statistics
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from isal import igzip

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from tests.benchmarks.boats import each_boat, taken  # noqa: E402

WAYS = {
    f"{view} {coding}": {"Prefer": f"return={wish}", "Accept-Encoding": coding}
    for view, wish in (("whole", "representation"), ("summary", "minimal"))
    for coding in ("identity", "gzip")
}
REFERENCE = "whole identity"
LEVELS: dict[str, Callable[[bytes], bytes]] = {
    **{f"ISA-L {level}": partial(igzip.compress, compresslevel=level, mtime=0) for level in range(4)},
    **{f"zlib {level}": partial(gzip.compress, compresslevel=level, mtime=0) for level in range(1, 7)},
}


def measured(client: Any, request: dict[str, object], count: int, rounds: int) -> None:
    body = json.dumps(request)

    def post(headers: dict[str, str]) -> bytes:
        answer = client.post("/v1/quotes/preview", data=body, content_type="application/json", headers=headers)
        assert answer.status_code == 200
        said: bytes = answer.data
        return said

    bodies = {name: post(headers) for name, headers in WAYS.items()}
    times: dict[str, list[float]] = {name: [] for name in WAYS}
    for _ in range(rounds):
        for name, headers in WAYS.items():
            times[name].append(taken(partial(post, headers)))
    usual = statistics.median(times[REFERENCE])
    print(f"{count} assemblies, processor time, medians of {rounds}; a whole preview takes {usual:.1f} ms")
    for name, each in times.items():
        ratio = statistics.median(one / other for one, other in zip(each, times[REFERENCE], strict=True))
        print(f"  {name:18} {ratio:5.2f} of its time  {len(bodies[name]):8} bytes, {len(bodies[name]) / len(bodies[REFERENCE]):.3f}")
    for view in ("whole", "summary"):
        plain = bodies[f"{view} identity"]
        for name, pack in LEVELS.items():
            took = statistics.median(taken(partial(pack, plain)) for _ in range(rounds))
            size = len(pack(plain))
            print(f"  {view:8} {name:8}  {took / usual:6.4f} of its time  {size:8} bytes, {size / len(plain):.3f}")


if __name__ == "__main__":
    each_boat(measured, int(sys.argv[1]) if len(sys.argv) > 1 else 60)
