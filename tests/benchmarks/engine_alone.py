"""The engine alone beside json: `python tests/benchmarks/engine_alone.py [rounds]`. Not a test: nothing here passes or fails.

One quote of 12 assemblies through the engine (request already read, document made) against `json.loads` of its request plus `json.dumps` of its
reply, medians of interleaved rounds of processor time; the readings change from round to round, the parts do not. The same with parts that were
never met before: nothing is remembered of them. Then boats of 10 to 10,000 assemblies: microseconds per assembly, which should stay level. The
collector is set as in the service's processes; with the interpreter's own setting it takes a half more of large boats, which it reads again and again.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import cycle, islice
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from pricing.catalogue import DEMO_FOLDER, load_catalogue  # noqa: E402
from pricing.costing.rates import price_table  # noqa: E402
from pricing.document import rendered, written  # noqa: E402
from pricing.measurement.assembly import QuoteRequest  # noqa: E402
from pricing.quote import make_quote  # noqa: E402
from service.computing.collector import spare_what_is_loaded  # noqa: E402
from service.demo import demo_names, demo_request  # noqa: E402
from service.schemas import read_request  # noqa: E402

DAY = date(2026, 11, 25)
GOAL = 2.0


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def shifted(request: QuoteRequest, by: int) -> QuoteRequest:
    """The same boat with every reading a little longer, so that nothing is remembered of the lengths."""
    shift = Decimal(by) / 1000
    made = [
        replace(each, measurement=replace(each.measurement, readings=tuple(reading + shift for reading in each.measurement.readings)))
        for each in request.assemblies
    ]
    return replace(request, assemblies=tuple(made))


def main(rounds: int) -> None:
    catalogue = load_catalogue(DEMO_FOLDER)
    prices = price_table(catalogue)
    body = demo_request(demo_names()[0])
    request = read_request(json.loads(body), prices.at(DAY).price_lists())
    boats = [shifted(request, place) for place in range(rounds)]
    reply = rendered(make_quote(request, catalogue, prices, DAY))
    spare_what_is_loaded()
    ours, anew, floor = [], [], []
    for boat in boats:
        ours.append(seconds(lambda boat=boat: written(make_quote(boat, catalogue, prices, DAY))))
        floor.append(seconds(lambda: (json.loads(body), json.dumps(reply))))
    for boat in boats:
        unmet = replace(catalogue)  # equal to itself alone, as every catalogue is
        anew.append(seconds(lambda boat=boat, unmet=unmet: written(make_quote(boat, unmet, prices, DAY))))
    ratios, unmet_ratios = ([left / right for left, right in zip(each, floor, strict=True)] for each in (ours, anew))
    print(f"12 assemblies, request {len(body)} B, reply {len(json.dumps(reply))} B, {rounds} interleaved rounds")
    print(
        f"engine {1e6 * statistics.median(ours):.0f} us, json {1e6 * statistics.median(floor):.0f} us, ratio {statistics.median(ratios):.2f} (goal {GOAL})"
    )
    print(f"parts never met before: {1e6 * statistics.median(anew):.0f} us, ratio {statistics.median(unmet_ratios):.2f}")
    for count in (10, 100, 1000, 10_000):
        many = replace(
            request, assemblies=tuple(replace(each, tag=f"W{n}") for n, each in enumerate(islice(cycle(request.assemblies), count)))
        )
        best = statistics.median(seconds(lambda many=many: written(make_quote(many, catalogue, prices, DAY))) for _ in range(3))
        print(f"{count:6d} assemblies: {1e6 * best / count:6.1f} us each")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
