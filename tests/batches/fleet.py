"""Fleets to be quoted, and a chunk processor that works on them in the test's own process."""

from __future__ import annotations

import json
from typing import Any

from flask import Flask

from service.batches.process_chunk import ChunkProcessor
from service.demo import demo_names, demo_request
from service.storage import Quotes

NDJSON = "application/x-ndjson"
LEASE = 20.0


def boat(name: str | None = None, assemblies: int = 1, **more: Any) -> dict[str, Any]:
    """A demo boat cut down to its first assemblies, which is quicker."""
    asked = json.loads(demo_request(demo_names()[0]))
    asked["assemblies"] = asked["assemblies"][:assemblies]
    return {**({} if name is None else {"custom_id": name}), **asked, **more}


def ndjson(*lines: Any) -> bytes:
    """Lines; what is bytes stands as it is."""
    return b"".join((each if isinstance(each, bytes) else json.dumps(each).encode()) + b"\n" for each in lines)


def fleet(count: int) -> bytes:
    return ndjson(*(boat(f"HULL-{number:05d}") for number in range(count)))


def chunk_processor(app: Flask, quotes: Quotes, lease: float = LEASE) -> ChunkProcessor:
    return ChunkProcessor(quotes, app.extensions["catalogues"], lease)


def worked(app: Flask, quotes: Quotes) -> int:
    """Work until nothing is left; how many chunks."""
    shop, count = chunk_processor(app, quotes), 0
    while shop.work_one():
        count += 1
    shop.chunks.finish_all()
    return count


def results(client: Any, made: Any, quotes: str = "heads") -> list[dict[str, Any]]:
    answer = client.get(f"{made.json['results']}?quotes={quotes}")
    assert answer.status_code == 200
    return [json.loads(line) for line in answer.data.splitlines()]
