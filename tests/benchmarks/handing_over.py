"""Where a quote is computed: in the thread that asks, handed over to the service's own processes, to the standard pool of processes, or to pebble's where that is
installed: `python tests/benchmarks/handing_over.py [pairs]`. Not a test: nothing passes or fails.

Each boat's preview is computed in turns, one way after the other, so that other work on the machine falls on all of them; ratios to the thread's own are
medians of those pairs. Then a process is killed while others wait: how many of them are answered, and after how long the next one is.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import statistics
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from pricing.measurement.assembly import QuoteRequest  # noqa: E402
from service.computing import keeper, tasks  # noqa: E402
from service.computing.budget import Lane, budgets  # noqa: E402
from service.computing.hatch import Hatch  # noqa: E402
from service.computing.keeper import Keeper  # noqa: E402
from service.computing.pool import Apart  # noqa: E402
from service.demo import demo_names, demo_request  # noqa: E402
from service.encoding import json  # noqa: E402
from service.engine.engine import Engine, open_engine  # noqa: E402
from service.schemas import read_request  # noqa: E402
from service.settings import Settings  # noqa: E402

PROCESSES, WAITING = 2, 8
SETTINGS = Settings()
ENGINE = open_engine(SETTINGS)


def previewed(asked: QuoteRequest) -> bytes:
    return tasks.previewed(ENGINE, asked, None)


def rest(seconds: float) -> int:
    time.sleep(seconds)
    return os.getpid()


def rest_with(_: Engine, seconds: float) -> int:
    return rest(seconds)


Way = tuple[str, Callable[[QuoteRequest], bytes], Callable[[float], int]]


def ways() -> list[Way]:
    """Name, how a preview is asked for, and how a rest is. All processes are forked before any thread begins."""
    hatches = {lane: Hatch() for lane in Lane}
    keeper.NICENESS = 0  # as the others, or a busy machine would tell them apart
    Keeper(hatches, ENGINE, PROCESSES).keep()
    apart = Apart(hatches, budgets(SETTINGS), dict.fromkeys(Lane, 64), lambda *_: None)
    forked = multiprocessing.get_context("fork")
    standard = ProcessPoolExecutor(PROCESSES, forked)
    standard.submit(rest, 0).result()
    found: list[Way] = [
        ("in the thread", previewed, rest),
        ("own processes", lambda asked: apart.run(Lane.USUAL, tasks.previewed, ENGINE, asked, None), lambda s: apart.run(Lane.USUAL, rest_with, ENGINE, s)),
        ("standard pool", lambda asked: standard.submit(previewed, asked).result(), lambda s: standard.submit(rest, s).result(30)),
    ]  # fmt: skip
    try:
        from pebble import ProcessPool
    except ImportError:
        return found
    pebble = ProcessPool(PROCESSES, context=forked)
    pebble.schedule(rest, args=[0]).result()
    found.append(
        ("pebble", lambda asked: pebble.schedule(previewed, args=[asked], timeout=5).result(), lambda s: pebble.schedule(rest, args=[s], timeout=30).result(30))
    )  # fmt: skip
    return found


def milliseconds(what: Callable[[], Any]) -> float:
    began = time.perf_counter()
    what()
    return (time.perf_counter() - began) * 1000


def compared(found: list[Way], asked: QuoteRequest, pairs: int) -> dict[str, tuple[float, float]]:
    """Median milliseconds and median ratio to the first way, of each."""
    taken: dict[str, list[float]] = {name: [] for name, _, _ in found}
    for _ in range(pairs):
        for name, preview, _ in found:
            taken[name].append(milliseconds(lambda preview=preview: preview(asked)))  # type: ignore[misc]
    first = taken[found[0][0]]
    return {
        name: (statistics.median(each), statistics.median(one / other for one, other in zip(each, first, strict=True)))
        for name, each in taken.items()
    }


def after_a_kill(wait: Callable[[float], int]) -> str:
    """One of those that wait is killed with its process."""
    victim = wait(0)
    with ThreadPoolExecutor(WAITING) as pool:
        asked: list[Future[int]] = [pool.submit(wait, 0.4) for _ in range(WAITING)]
        time.sleep(0.2)
        os.kill(victim, signal.SIGKILL)
        answered = sum(each.exception() is None for each in asked)
    try:
        again = f"{milliseconds(lambda: wait(0)):.0f} ms until the next is answered"
    except Exception as error:  # noqa: BLE001  # a pool that is broken for good
        again = f"and nothing after it: {type(error).__name__}"
    return f"{answered} of {WAITING} answered, {again}"


def main(pairs: int) -> None:
    found = ways()
    lists = ENGINE.known_price_lists()
    for boat in demo_names():
        asked = read_request(json.read(demo_request(boat)), lists)
        for name, (taken, ratio) in compared(found, asked, pairs).items():
            print(f"{boat:24}{name:16}{taken:8.2f} ms{ratio:7.2f}")
    for name, _, wait in found[1:]:
        print(f"killed: {name:16}{after_a_kill(wait)}")
    os._exit(0)  # whatever the pools would still wait for; the own processes end with this one


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
