"""More machines, as processes with folders of their own over one PostgreSQL and one Redis. Not a test: nothing passes or fails, it only prints.

    python tests/benchmarks/machines.py kills [boats] [kills]   # 2 servers and 4 workers under load, any of them killed again and again
    python tests/benchmarks/machines.py workers [boats] [rounds]  # boats a second with 1, 2 and 4 workers, in turns
    python tests/benchmarks/machines.py statements              # what one quote costs the database
    python tests/benchmarks/machines.py rows [seconds] [rounds]  # quotes a second that can be kept, if computing them cost nothing

The database is made here and dropped; the Redis is one of its own on a free port. In `kills` clients post quotes with a key of idempotency as well, to either
server, and send what was not answered again, to the other. `lost`, `doubled` and `gaps` must be 0, and whatever failed is told.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import date
from http.client import HTTPException
from pathlib import Path
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, event, func, select, text

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from service.demo import demo_names, demo_request  # noqa: E402
from service.engine.engine import open_engine  # noqa: E402
from service.schemas import read_request  # noqa: E402
from service.settings import Settings  # noqa: E402
from service.storage import Packed, Quotes, migrate  # noqa: E402
from service.storage.tables import batch_chunks, quotes  # noqa: E402
from tests.batches.own_servers import own_redis  # noqa: E402
from tests.batches.under_fire import NDJSON, crew_of, fleet, kill  # noqa: E402
from tests.benchmarks.batch_kills import own_database  # noqa: E402
from tests.benchmarks.batch_throughput import cpu  # noqa: E402
from tests.service.test_server import JSON, call, free_port, started, wait_for  # noqa: E402

LEASE = "5"
DAY = date(2026, 11, 25)
ONE = json.dumps({**json.loads(demo_request(demo_names()[0])), "assemblies": json.loads(demo_request(demo_names()[0]))["assemblies"][:1]})


class Machine:
    """A process of the service with a folder of its own: a server at a port, or one that works on batches."""

    def __init__(self, folder: Path, port: int | None, settings: dict[str, str]) -> None:
        folder.mkdir()
        self.port, self._folder = port, folder
        self._settings = {**settings, "SERVICE_BATCH_WORKERS": "0" if port else "1"}
        self.process: Any = None

    def start(self) -> None:
        with (self._folder / "log").open("a", encoding="utf-8") as log:
            run = ("-m", "service") if self.port else ("-m", "service", "work")
            self.process = started(self._folder, self.port or 1, log, run, **self._settings)

    def ready(self) -> None:
        if self.port:
            wait_for(self.process, self.port)
        while not self.port and not crew_of(self.process.pid):
            assert self.process.poll() is None, (self._folder / "log").read_text(encoding="utf-8")
            time.sleep(0.05)

    def kill(self) -> None:
        """All of it, as by a power cut."""
        kill([*crew_of(self.process.pid), self.process.pid])
        self.process.wait()

    def stop(self) -> None:
        self.process.send_signal(signal.SIGTERM)
        try:
            self.process.wait(30)
        except subprocess.TimeoutExpired:
            self.kill()


@contextmanager
def machines(servers: int, workers: int) -> Iterator[tuple[list[Machine], list[Machine], str]]:
    """So many of each, over a database and a Redis of their own; and the database's address."""
    with ExitStack() as ending:
        folder = Path(ending.enter_context(tempfile.TemporaryDirectory()))
        url, redis = ending.enter_context(own_database()), ending.enter_context(own_redis(folder))
        where = {"SERVICE_DATABASE_URL": url, "SERVICE_REDIS_URL": redis.url, "SERVICE_BATCH_LEASE_SECONDS": LEASE, "SERVICE_WORKERS": "1"}
        first = [Machine(folder / f"server{each}", free_port(), where) for each in range(servers)]
        crew = [Machine(folder / f"worker{each}", None, where) for each in range(workers)]
        for each in (*first, *crew):
            each.start()
            ending.callback(each.stop)
            if each is first[0]:
                each.ready()  # it makes the tables
        for each in (*first, *crew):
            each.ready()
        yield first, crew, url


class Shops:
    """Clients that post a quote each under a key, to any server, until it is answered; then the next."""

    def __init__(self, ports: list[int], count: int) -> None:
        self.made: dict[str, set[str]] = {}
        self.others: Counter[str] = Counter()
        self._ports, self._over, self._lock = ports, threading.Event(), threading.Lock()
        self._threads = [threading.Thread(target=self._run, args=(each,)) for each in range(count)]
        for each in self._threads:
            each.start()

    def _run(self, turn: int) -> None:
        while not self._over.is_set():
            key = uuid4().hex
            while not (found := self._post(key, turn)):
                turn += 1
                time.sleep(0.2)
            with self._lock:
                self.made.setdefault(key, set()).add(found)

    def _post(self, key: str, turn: int) -> str | None:
        try:
            port = self._ports[turn % len(self._ports)]
            status, _, body = call(port, "POST", "/v1/quotes", ONE.encode(), {**JSON, "Idempotency-Key": key})
        except (OSError, HTTPException) as error:
            self.others[type(error).__name__] += 1
            return None
        if status == 201:
            return str(json.loads(body)["id"])
        self.others[str(status)] += 1
        return None

    def stop(self) -> None:
        self._over.set()
        for each in self._threads:
            each.join()


def batch_of(servers: list[Machine], boats: int) -> str:
    status, headers, said = call(servers[0].port or 0, "POST", "/v1/batches", fleet(boats, 1), NDJSON)
    assert status == 202, said
    return headers["Location"]


def progress(servers: list[Machine], address: str) -> dict[str, Any]:
    """From whichever server answers."""
    for each in servers:
        with suppress(OSError, HTTPException):
            status, _, said = call(each.port or 0, "GET", address)
            if status == 200:
                found: dict[str, Any] = json.loads(said)
                return found
    return {"status": "not known", "succeeded": -1, "failed": 0}


def kills(boats: int = 3000, many: int = 20) -> None:
    chance = random.Random(20261129)
    with machines(2, 4) as (servers, crew, url):
        shops, address, began, told = (
            Shops([each.port or 0 for each in servers], 4),
            batch_of(servers, boats),
            time.monotonic(),
            Counter[str](),
        )
        shares = sorted(chance.uniform(0.02, 0.9) for _ in range(many))
        while (now := progress(servers, address))["status"] != "completed":
            if shares and now["succeeded"] >= shares[0] * boats:
                shares.pop(0)
                hit = chance.choice([*servers, *crew])
                told["server" if hit.port else "worker"] += 1
                hit.kill()
                hit.start()
            time.sleep(0.05)
            assert time.monotonic() < began + 1200, now
        seconds = time.monotonic() - began
        shops.stop()
        store = Quotes(url, 1)
        with store.reading() as connection:
            stored: dict[str, str] = {row.id: row.number for row in connection.execute(select(quotes.c.id, quotes.c.number))}
            again = connection.execute(select(func.sum(batch_chunks.c.attempts - 1))).scalar_one()
        store.close()
        each_once = [next(iter(found)) for found in shops.made.values()]
        numbers = {f"Q-2026-{number:06d}" for number in range(1, len(stored) + 1)}
        lost = sum(found not in stored for found in each_once) + boats - now["succeeded"] - now["failed"]
        print(
            f"{boats} boats in a batch on 4 workers, {len(each_once)} quotes under keys by 4 clients on 2 servers, {seconds:.0f} s, killed {dict(told)}"
        )
        print(
            f"lost {lost}, doubled {len(stored) - now['succeeded'] - len(set(each_once))}, gaps {len(numbers - set(stored.values()))}, failed {now['failed']}, "
            f"chunks begun again {again}, clients were told {dict(shops.others)}"
        )


def worked(boats: int, size: int) -> tuple[float, float]:
    """Boats a second of so many workers, the receiving included, and milliseconds of their processor time a boat."""
    with machines(1, size) as (servers, crew, _):
        for count in (50 * size, boats):  # the first warms
            at_work = [member for each in crew for member in crew_of(each.process.pid)]
            used, began = cpu(at_work), time.monotonic()
            address = batch_of(servers, count)
            while progress(servers, address)["status"] != "completed":
                time.sleep(0.1)
        return boats / (time.monotonic() - began), (cpu(at_work) - used) / boats * 1000


def workers(boats: int = 1200, rounds: int = 3) -> None:
    found: dict[int, list[tuple[float, float]]] = {1: [], 2: [], 4: []}
    for _ in range(rounds):
        for size, each in found.items():
            each.append(worked(boats, size))
        print(f"  load {os.getloadavg()[0]:.1f}:", {size: round(each[-1][0], 1) for size, each in found.items()}, flush=True)
    print(f"{boats} boats of one assembly, {rounds} rounds, {os.cpu_count()} cores, receiving included")
    for size, each in found.items():
        ratio = statistics.median(mine[0] / one[0] for mine, one in zip(each, found[1], strict=True))
        rate, used = (statistics.median(came[at] for came in each) for at in (0, 1))
        print(f"{size} workers: {rate:7.1f} boats/s, x{ratio:.2f}; {used:6.2f} ms of processor a boat")


def statements() -> None:
    from service.batches.process_chunk import ChunkProcessor
    from tests.batches.fleet import NDJSON as LINES
    from tests.service.conftest import made_app

    with own_database() as url:
        store, engine = Quotes(url, 1), open_engine(Settings(today=DAY))
        migrate(store.engine())
        app = made_app(engine, store)
        client, said = app.test_client(), list[str]()
        event.listen(store.engine(), "before_cursor_execute", lambda *told: said.append(told[2].split()[0]))
        event.listen(store.engine(), "commit", lambda _: said.append("COMMIT"))
        event.listen(store.engine(), "begin", lambda _: said.append("BEGIN"))

        def counted(name: str, many: int, do: Any) -> None:
            do()
            said.clear()
            do()
            print(f"{name:52}", {word: round(count / many, 2) for word, count in Counter(said).most_common()}, flush=True)

        ask = {"data": ONE, "content_type": "application/json"}
        counted("a preview", 1, lambda: client.post("/v1/quotes/preview", **ask))
        counted("a quote", 1, lambda: client.post("/v1/quotes", **ask))
        counted("a quote with a key", 1, lambda: client.post("/v1/quotes", **ask, headers={"Idempotency-Key": uuid4().hex}))

        def batch() -> None:
            assert client.post("/v1/batches", data=fleet(100, 1), content_type=LINES).status_code == 202
            shop = ChunkProcessor(store, app.extensions["catalogues"], 20)
            while shop.work_one():
                pass
            shop.chunks.finish_all()

        counted("a quote of a batch of 100, received and worked off", 100, batch)
        with store.reading() as connection:
            sizes = {
                name: connection.execute(text("SELECT pg_total_relation_size(:name)"), {"name": name}).scalar_one()
                for name in ("quotes", "cutting_plans", "batch_lines", "answers")
            }
            many = connection.execute(select(func.count()).select_from(quotes)).scalar_one()
        print(f"bytes a quote of one assembly, over {many}: ", {name: size // many for name, size in sizes.items()})
        store.close()


def _keeps(url: str, seconds: float, at_once: int, all_there: Any, told: Any) -> None:
    store, engine = Quotes(url, 1), open_engine(Settings(today=DAY))
    request = json.loads(demo_request(demo_names()[0]))
    made = engine.quote(read_request(request, engine.known_price_lists()))
    packed, count = Packed.of(made, demo_request(demo_names()[0])), 0
    store.keep(packed)
    all_there.wait()
    until, began = time.monotonic() + seconds, time.process_time()
    while time.monotonic() < until:
        with store.together():
            for _ in range(at_once):
                store.keep(packed)
        count += at_once
    told.put((count / seconds, (time.process_time() - began) / count * 1000))


def waits(url: str, seconds: float) -> dict[str, float]:
    """What the sessions of a database wait for, on average at a time."""
    store, seen, looks = Quotes(url, 1), Counter[str](), 0
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        with store.reading() as connection:
            seen.update(_waiting(connection))
        looks += 1
        time.sleep(0.02)
    store.close()
    return {name: round(count / looks, 2) for name, count in seen.most_common(6)}


def _waiting(connection: Connection) -> list[str]:
    what = "CASE WHEN state = 'active' THEN coalesce(wait_event_type || ' ' || wait_event, 'processor') ELSE 'the client' END"
    of = "datname = current_database() AND pid <> pg_backend_pid() AND state <> 'idle'"
    return list(connection.execute(text(f"SELECT {what} FROM pg_stat_activity WHERE {of}")).scalars())  # noqa: S608


def rows(seconds: float = 5, rounds: int = 2) -> None:
    print(
        "quotes of 12 assemblies kept, ready as they are: processes, quotes in a transaction, quotes/s, ms of processor a quote, what sessions wait for"
    )
    for _ in range(rounds):
        for count, at_once in ((1, 1), (2, 1), (4, 1), (1, 25), (2, 25), (4, 25)):
            with own_database() as url:
                store = Quotes(url, 1)
                migrate(store.engine())
                store.close()
                told: Any = multiprocessing.Queue()
                all_there = multiprocessing.Barrier(count + 1)
                keepers = [multiprocessing.Process(target=_keeps, args=(url, seconds, at_once, all_there, told)) for _ in range(count)]
                for each in keepers:
                    each.start()
                all_there.wait()
                seen = waits(url, 0.8 * seconds)
                came = [told.get(timeout=120) for _ in keepers]
                for each in keepers:
                    each.join()
                print(
                    f"{count:3}{at_once:4}{sum(rate for rate, _ in came):8.1f}{statistics.mean(used for _, used in came):8.2f}  {seen}  load {os.getloadavg()[0]:.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    run = {"kills": kills, "workers": workers, "statements": statements, "rows": rows}[sys.argv[1]]
    run(*map(int, sys.argv[2:]))
