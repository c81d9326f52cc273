"""What packing costs, and by which library: `python tests/benchmarks/packed_replies.py [rounds]`. Not a test: nothing here passes or fails.

Whole requests (WSGI, one process, SQLite in a file), in turns, medians beside the plain reply or the plain POST of the same run: a stored quote read
plain and as gzip, and a quote stored with and without an Idempotency-Key, whose answer is packed and kept as well; each by the service's own packing
and by zlib at the same level in its place.
"""

from __future__ import annotations

import gzip
import statistics
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any
from uuid import uuid4

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.encoding import gzip as packing  # noqa: E402
from tests.benchmarks.boats import each_boat, taken  # noqa: E402


class Zlib:
    """In the place of the library that packs."""

    compress = staticmethod(gzip.compress)
    decompress = staticmethod(gzip.decompress)


@contextmanager
def by_zlib() -> Iterator[None]:
    usual = packing.igzip
    packing.igzip = Zlib  # type: ignore[assignment]
    try:
        yield
    finally:
        packing.igzip = usual


def measured(client: Any, request: dict[str, object], count: int, rounds: int) -> None:
    at = client.post("/v1/quotes", json=request).headers["Location"]

    def get(coding: str) -> int:
        return len(client.get(at, headers={"Accept-Encoding": coding}).data)

    def post(*, keyed: bool) -> int:
        answer = client.post("/v1/quotes", json=request, headers={"Idempotency-Key": str(uuid4())} if keyed else {})
        assert answer.status_code == 201
        return len(answer.data)

    def with_zlib(run: Callable[[], int]) -> int:
        with by_zlib():
            return run()

    own: dict[str, Callable[[], int]] = {
        "GET plain": partial(get, "identity"),
        "GET gzip": partial(get, "gzip"),
        "POST": partial(post, keyed=False),
        "POST with a key": partial(post, keyed=True),
    }
    ways = {**own, **{f"{name}, zlib": partial(with_zlib, run) for name, run in own.items()}}
    sizes = {name: run() for name, run in ways.items()}
    times: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(rounds):
        for name, run in ways.items():
            times[name].append(taken(run))
    print(f"{count} assemblies, processor time, medians of {rounds}")
    for name, each in times.items():
        base = "GET plain" if name.startswith("GET") else "POST"
        ratio = statistics.median(one / other for one, other in zip(each, times[base], strict=True))
        print(
            f"  {name:22} {statistics.median(each):7.3f} ms  {ratio:.2f} of {base:9}  {sizes[name]:8} bytes, {sizes[name] / sizes[base]:.2f}"
        )


if __name__ == "__main__":
    each_boat(measured, int(sys.argv[1]) if len(sys.argv) > 1 else 200)
