"""A batch under kill -9: started as the one command does, harmed while it works, then held to what must have come of it."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from service.demo import demo_names, demo_request
from service.storage import Quotes
from service.storage.reading import kept_quotes
from tests.service.test_server import ROOT, call, free_port, started, stopped, wait_for

LEASE = "2"
NDJSON = {"Content-Type": "application/x-ndjson"}
Harm = Callable[["Site"], None]


def fleet(count: int) -> bytes:
    """Boats of twelve assemblies each."""
    asked = json.loads(demo_request(demo_names()[0]))
    return b"".join(json.dumps({**asked, "line": f"HULL-{number:06d}"}).encode() + b"\n" for number in range(count))


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
    """A server, and `machines` that work beside it; without them it has two workers of its own."""

    def __init__(self, folder: Path, url: str, machines: int = 0, redis: str | None = None) -> None:
        self.folder, self.url, self.count = folder, url, machines
        self.settings = {"SERVICE_DATABASE_URL": url, "SERVICE_BATCH_LEASE": LEASE, "SERVICE_BATCH_WORKERS": "0" if machines else "2"}
        if redis is not None:
            self.settings["SERVICE_REDIS_URL"] = redis
        self.port, self.redis_process = 0, None
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
        environment |= {**self.settings, "SERVICE_BATCH_WORKERS": "1", "SERVICE_TODAY": "2026-11-25", "PYTHONPATH": str(ROOT)}
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

    def said(self) -> str:
        return "".join(each.read_text(encoding="utf-8")[-3000:] for each in self.folder.glob("*.log"))

    def get(self, path: str) -> Any:
        return json.loads(call(self.port, "GET", path)[2])


def through(site: Site, boats: int, harms: list[tuple[float, Harm]], patience: float = 50) -> dict[str, Any]:
    """Quote so many boats, and do each harm once that share of them is through; then compare. Returns the figures."""
    site.start()
    status, headers, _ = call(site.port, "POST", "/v1/batches", fleet(boats), NDJSON)
    assert status == 202
    address, harmed, began = headers["Location"], [], time.monotonic()
    left = sorted(harms, key=lambda each: each[0])
    while (now := site.get(address))["state"] != "done":
        assert time.monotonic() < began + patience, (now, site.said())
        while left and now["done"] >= left[0][0] * boats:
            harmed.append(now["done"])
            left.pop(0)[1](site)
        time.sleep(0.02)
    seconds = time.monotonic() - began
    assert not left, "the batch was done before it was harmed"
    assert (now["total"], now["done"], now["failed"]) == (boats, boats, 0)
    lines = [json.loads(line) for line in call(site.port, "GET", f"{address}/results?quotes=heads")[2].splitlines()]
    assert [each["line"] for each in lines] == [f"HULL-{number:06d}" for number in range(boats)]
    numbers = sorted(each["quote"]["number"] for each in lines)
    assert numbers == [f"Q-2026-{number:06d}" for number in range(1, boats + 1)]
    site.stop()
    store = Quotes(site.url, 1)
    kept = [each.id for each in kept_quotes(store)]
    store.close()
    assert sorted(kept) == sorted(each["quote"]["id"] for each in lines)
    assert not [each for each in site.crew() if alive(each)]
    return {"boats": boats, "harmed at": harmed, "seconds": round(seconds, 1)}


def kill_one(site: Site) -> None:
    kill(site.crew()[:1])


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
    until = time.monotonic() + 10
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
    until = time.monotonic() + 10
    while any(map(alive, members)) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(map(alive, members))


@contextmanager
def own_redis(folder: Path) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """A Redis that may be ended; skips where there is none."""
    program = shutil.which("redis-server")
    if program is None:
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail("no redis-server is installed")
        pytest.skip("no redis-server is installed")
    port = free_port()
    with ExitStack() as ending:
        command = [program, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", str(folder)]
        running = ending.enter_context(subprocess.Popen(command, stdout=subprocess.DEVNULL))
        ending.callback(running.kill)
        yield f"redis://127.0.0.1:{port}/0", running
