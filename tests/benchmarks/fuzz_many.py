"""Many requests, most of them nearly right: `python tests/benchmarks/fuzz_many.py [requests] [seed]`. Not a test: it prints what was answered, and each 5xx.

The demo requests are changed at random: a value for another of its kind, a length a little longer or in other units, a field left out, doubled, of
another type, or of text that nobody would send. Whether a request reached the engine is told by its answer: 200 or 201 with a quote or a plan in it.
In this process, with an SQLite file; figures are by address and status.
"""

from __future__ import annotations

import collections
import copy
import json
import random
import sys
import tempfile
import time
from datetime import date
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.app import create_app  # noqa: E402
from service.demo import demo_names, demo_request  # noqa: E402
from service.engine.engine import open_engine  # noqa: E402
from service.settings import Settings  # noqa: E402
from service.storage import Quotes, migrate  # noqa: E402

KEY = "a-key-for-benchmarks"
ODD: tuple[Any, ...] = (
    None, True, 0, -1, 1.5, 1e308, 10**30, "", " ", "0 mm", "-3 mm", "1e9 m", "11 16 in", "9,568 mm", "12,5 mm", "⅜ in", "1/0 in", "9**9 mm",
    "x" * 3000, "\u202e", "طاقم", "<b>", "=cmd()", "{{7*7}}", [], {}, [[]], {"value": "1", "unit": "in"}, {"value": 1}, ["1 mm"], "none", "swage",
)  # fmt: skip


def changed(request: dict[str, Any], chance: random.Random, pools: dict[str, list[Any]]) -> dict[str, Any]:
    """A copy with some changes: most from values of the same field elsewhere, a few odd ones."""
    made = copy.deepcopy(request)
    made["assemblies"] = [copy.deepcopy(chance.choice(made["assemblies"])) for _ in range(chance.choice((1, 1, 1, 2, 3)))]
    for place, assembly in enumerate(made["assemblies"]):
        assembly["tag"] = f"{assembly['tag']}-{place}"
    for _ in range(chance.choice((0, 1, 1, 2, 3))):
        holder, name = chance.choice(places(made))
        if chance.random() < 0.8 and isinstance(name, str) and pools.get(name):
            holder[name] = copy.deepcopy(chance.choice(pools[name]))
        elif chance.random() < 0.5:
            holder[name] = copy.deepcopy(chance.choice(ODD))
        elif isinstance(holder, dict) and chance.random() < 0.7:
            holder.pop(name)
        else:
            holder[name] = [holder[name], holder[name]]
    return made


def places(value: Any) -> list[tuple[Any, Any]]:
    """Every holder and name within."""
    found: list[tuple[Any, Any]] = []
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, each in pairs:
        found.append((value, name))
        found += places(each)
    return found


def pools_of(requests: list[dict[str, Any]]) -> dict[str, list[Any]]:
    """The values of each field, wherever it stands."""
    found: dict[str, list[Any]] = {}
    for request in requests:
        for holder, name in places(request):
            if isinstance(name, str):
                found.setdefault(name, []).append(holder[name])
    return found


def plan(chance: random.Random) -> dict[str, Any]:
    """Lengths typed in, to be planned."""
    made: dict[str, Any] = {
        "wire": {"sku": chance.choice(("WIRE-1X19-316-3-16IN", "WIRE-1X19-316-5-32IN", "WIRE-7X19-316-3-16IN", "NO-SUCH-WIRE"))},
        "pieces": [
            {"length": f"{chance.randint(1, 40)} ft {chance.randint(0, 11)} in", "quantity": chance.randint(1, 3), "label": f"p{place}"}
            for place in range(chance.randint(1, 6))
        ],
    }
    if chance.random() < 0.3:
        holder, name = chance.choice(places(made))
        holder[name] = copy.deepcopy(chance.choice(ODD))
    return made


def main(count: int, seed: int) -> None:
    """Ask, count, print."""
    chance = random.Random(seed)  # no secret
    requests = [json.loads(demo_request(name)) for name in demo_names()]
    pools, answers, failures = pools_of(requests), collections.Counter[tuple[str, int]](), 0
    with tempfile.TemporaryDirectory() as folder:
        store = Quotes(f"sqlite:///{folder}/quotes.sqlite3")
        migrate(store.engine())
        settings = Settings(today=date(2026, 11, 25), demo_key=KEY, database_url=store.url)
        client = create_app(settings, open_engine(settings), store).test_client()
        begun = time.monotonic()
        for number in range(count):
            path = chance.choices(("/v1/quotes/preview", "/v1/quotes", "/v1/cutting-plans"), (70, 20, 10))[0]
            body = plan(chance) if "plans" in path else changed(chance.choice(requests), chance, pools)
            sent = json.dumps(body).encode()
            if chance.random() < 0.02:
                cut = chance.randrange(len(sent))
                sent = sent[:cut] + bytes([chance.randrange(256)]) + sent[cut + chance.randint(0, 3) :]
            answer = client.post(path, data=sent, content_type="application/json", headers={"Authorization": f"Bearer {KEY}"})
            answers[path, answer.status_code] += 1
            if answer.status_code >= 500:
                failures += 1
                print(f"seed {seed}, request {number}: {path} {answer.status_code} {sent[:2000]!r}", flush=True)
        store.close()
        taken = time.monotonic() - begun
    reached = sum(many for (_, status), many in answers.items() if status < 300)
    for (path, status), many in sorted(answers.items()):
        print(f"{path:22} {status} {many:7}")
    print(
        f"{count} requests in {taken:.0f} s, seed {seed}: {failures} of 5xx; {reached} ({100 * reached / count:.1f} %) reached the engine"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50_000, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
