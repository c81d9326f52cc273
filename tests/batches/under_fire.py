"""A batch under kill -9: started as by the single command, disrupted while it works, then checked for the results it must have."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import select

from service.demo import demo_names, demo_request
from service.storage import Quotes
from service.storage.tables import quotes
from tests.service.test_kills import cut_connections
from tests.service.test_server import ROOT, call, free_port, started, stopped, wait_for

LEASE = "2"
NDJSON = {"Content-Type": "application/x-ndjson"}
Harm = Callable[["Site"], None]


def fleet(count: int, assemblies: int = 12) -> bytes:
    """Boats of so many assemblies each, twelve at most."""
    asked = json.loads(demo_request(demo_names()[0]))
    asked["assemblies"] = asked["assemblies"][:assemblies]
    return b"".join(json.dumps({**asked, "custom_id": f"HULL-{number:06d}"}).encode() + b"\n" for number in range(count))


def children_of(process: int) -> list[int]:
    """Process ids (Linux)."""
    with suppress(FileNotFoundError):
        return [int(each) for each in Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()]
    return []


def crew_of(process: int) -> list[int]:
    """Those children that let others go first, as workers of batches do."""
    found = []
    for each in children_of(process):
        with suppress(ProcessLookupError):
            if os.getpriority(os.PRIO_PROCESS, each) > os.getpriority(os.PRIO_PROCESS, process):
                found.append(each)
    return found


def alive(process: int) -> bool:
    """Whether it runs; one that has ended and was not yet asked after does not."""
    with suppress(FileNotFoundError):
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    return False


def kill(processes: list[int]) -> None:
    for each in processes:
        with suppress(ProcessLookupError):
            os.kill(each, signal.SIGKILL)


class Site:
    """A server, and `machines` that work beside it; without them it has `workers` of its own."""

    def __init__(self, folder: Path, url: str, machines: int = 0, redis: str | None = None, workers: int = 2) -> None:
        self.folder, self.url, self.count = folder, url, machines
        own = "0" if machines else str(workers)
        self.settings = {"SERVICE_DATABASE_URL": url, "SERVICE_BATCH_LEASE_SECONDS": LEASE, "SERVICE_BATCH_WORKERS": own}
        if redis is not None:
            self.settings["SERVICE_REDIS_URL"] = redis
        self.port = 0
        self.first_of_machines: list[Path] = []  # folders whose modules the machines have before ours
        self.server: Any = None
        self.machines: list[subprocess.Popen[bytes]] = []

    def start(self) -> None:
        self.port = free_port()
        with (self.folder / "server.log").open("a", encoding="utf-8") as log:
            self.server = started(self.folder, self.port, log, **self.settings)
        wait_for(self.server, self.port)
        self.machines = [self.machine() for _ in range(self.count)]

    def machine(self) -> subprocess.Popen[bytes]:
        environment = {name: value for name, value in os.environ.items() if not name.startswith("SERVICE_")}
        environment |= {**self.settings, "SERVICE_BATCH_WORKERS": "1", "SERVICE_TODAY": "2026-11-25"}
        environment["PYTHONPATH"] = os.pathsep.join(map(str, [*self.first_of_machines, ROOT]))
        with (self.folder / "machines.log").open("a", encoding="utf-8") as log:
            return subprocess.Popen([sys.executable, "-m", "service", "work"], cwd=self.folder, env=environment, stdout=log, stderr=log)

    def crew(self) -> list[int]:
        """Every process that works on batches."""
        return [member for process in (self.server, *self.machines) for member in crew_of(process.pid)]

    def stop(self) -> None:
        for each in self.machines:
            each.terminate()
        code, _ = stopped(self.server)
        codes = [each.wait(30) for each in self.machines]
        assert (code, set(codes) - {0, -9}) == (0, set()), self.said()

    def abandon(self) -> None:
        """Nobody of it stays behind a test that failed."""
        for each in (self.server, *self.machines):
            each.kill()
            each.wait()

    def said(self) -> str:
        return "".join(each.read_text(encoding="utf-8")[-3000:] for each in self.folder.glob("*.log"))


class Came(NamedTuple):
    """What came of a batch that was harmed. `lost`: boats without a quote that is stored; `doubled`: quotes beyond one a boat; `gaps`: numbers left
    out; `refused`: what the service said when it could not tell how far it was."""

    boats: int
    harmed_at: list[int]
    lost: int
    doubled: int
    failed: int
    gaps: int
    refused: list[str]
    seconds: float


def through(site: Site, boats: int, harms: list[tuple[float, Harm]], patience: float = 360, assemblies: int = 12) -> Came:
    """Quote so many boats, and do each harm once that share of them is through; then count."""
    site.start()
    try:
        return _through(site, boats, harms, patience, assemblies)
    except BaseException:
        site.abandon()
        raise


def _through(site: Site, boats: int, harms: list[tuple[float, Harm]], patience: float, assemblies: int) -> Came:
    status, headers, said = call(site.port, "POST", "/v1/batches", fleet(boats, assemblies), NDJSON)
    assert status == 202, said
    address, harmed, refused, began = headers["Location"], [], [], time.monotonic()
    left = sorted(harms, key=lambda each: each[0])
    while (now := _look(site, address, refused))["status"] != "completed":
        assert time.monotonic() < began + patience, (now, site.said())
        while left and now["succeeded"] >= left[0][0] * boats:
            harmed.append(now["succeeded"])
            left.pop(0)[1](site)
        time.sleep(0.02)
    seconds = time.monotonic() - began
    assert not left, "the batch was done before it was harmed"
    assert now["total"] == now["succeeded"] + now["failed"] == boats
    lost, doubled, gaps = _compared(site, address, boats)
    return Came(boats, harmed, lost, doubled, now["failed"], gaps, refused, round(seconds, 1))


def unharmed(came: Came) -> None:
    """Nothing is lost, doubled, failed or left out, and a refusal says what to do."""
    assert (came.lost, came.doubled, came.failed, came.gaps) == (0, 0, 0, 0), came
    assert {each for each in came.refused if "again" not in each} == set()


def _look(site: Site, address: str, refused: list[str]) -> dict[str, Any]:
    try:
        status, _, body = call(site.port, "GET", address)
    except (OSError, HTTPException):
        return {"status": "not known", "succeeded": -1}
    found: dict[str, Any] = json.loads(body)
    if status == 200:
        return found
    assert status == 503, found
    refused.append(found["detail"])
    return {"status": "not known", "succeeded": -1}


def _compared(site: Site, address: str, boats: int) -> tuple[int, int, int]:
    """Lost, doubled and numbers left out, from what is answered and, once everything has ended, from what is stored."""
    lines = [json.loads(line) for line in call(site.port, "GET", f"{address}/results?quotes=heads")[2].splitlines()]
    crew = site.crew()
    site.stop()
    assert not [each for each in crew if alive(each)]
    store = Quotes(site.url, 1)
    with store.reading() as connection:
        stored: dict[str, str] = dict(connection.execute(select(quotes.c.id, quotes.c.number)).all())  # type: ignore[arg-type]
    store.close()
    told = Counter(each["custom_id"] for each in lines if each.get("quote", {}).get("id") in stored)
    lost = sum(not told[f"HULL-{number:06d}"] for number in range(boats))
    doubled = sum(told.values()) - len(told) + len(stored) - len({each["quote"]["id"] for each in lines if "quote" in each})
    gaps = len({f"Q-2026-{number:06d}" for number in range(1, len(stored) + 1)} - set(stored.values()))
    return lost, doubled, gaps


def kill_one(site: Site) -> None:
    kill(site.crew()[:1])


def cut_the_connections(site: Site) -> None:
    """Every connection to the database of the site is ended by its server."""
    cut_connections(0, site.url)


def kill_all(site: Site) -> None:
    crew = site.crew()
    assert crew
    kill(crew)


def kill_the_master(site: Site) -> None:
    """The one command itself: its children end with it, and a new start goes on where it was."""
    family = [each for child in children_of(site.server.pid) for each in (child, *children_of(child))]
    crew = site.crew()
    assert crew
    kill([site.server.pid])
    site.server.wait()
    until = time.monotonic() + 180
    while (orphans := [each for each in crew if alive(each)]) and time.monotonic() < until:
        time.sleep(0.05)
    assert orphans == []
    kill([each for each in family if alive(each)])  # gunicorn's own workers see it within a second or two
    site.start()


def kill_a_machine(site: Site) -> None:
    """A whole machine goes, and another comes."""
    gone = site.machines[0]
    members = crew_of(gone.pid)
    kill([gone.pid])
    gone.wait()
    site.machines.append(site.machine())
    until = time.monotonic() + 180
    while any(map(alive, members)) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(map(alive, members))
