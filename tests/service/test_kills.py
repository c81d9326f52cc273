"""What a killed worker or a cut connection leaves behind: every acknowledged quote exists once, without gaps, on both databases.

A small bounded load; `python -m tests.service.test_kills SECONDS CLIENTS` runs a larger one by hand and prints its figures.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, text

from service.storage import Quotes, migrate
from service.storage.backup import back_up, restore
from service.storage.stored_quotes import kept_quotes
from service.storage.tables import metadata
from tests.service.test_server import BODY, JSON, call, free_port, started, stopped, wait_for

SMALL = json.dumps({**json.loads(BODY), "assemblies": json.loads(BODY)["assemblies"][:1]}).encode()


class Load:
    """Clients that post until they are stopped; `acknowledged` has id and number of every 201, `others` counts the rest."""

    def __init__(self, port: int, clients: int) -> None:
        self.acknowledged: list[tuple[str, str]] = []
        self.others: Counter[str] = Counter()
        self._port, self._stop = port, threading.Event()
        self._clients = [threading.Thread(target=self._post) for _ in range(clients)]
        for client in self._clients:
            client.start()

    def _post(self) -> None:
        while not self._stop.is_set():
            try:
                status, _, body = call(self._port, "POST", "/v1/quotes", SMALL, JSON)
            except (OSError, HTTPException) as error:
                self.others[type(error).__name__] += 1
                continue
            if status == 201:
                made = json.loads(body)
                self.acknowledged.append((made["id"], made["number"]))
            else:
                self.others[str(status)] += 1

    def stop(self) -> None:
        self._stop.set()
        for client in self._clients:
            client.join()


def workers_of(master: int) -> list[int]:
    """Process ids of a server's workers (Linux)."""
    with suppress(OSError):  # it ended meanwhile
        return [int(each) for each in Path(f"/proc/{master}/task/{master}/children").read_text(encoding="ascii").split()]
    return []


def kill_a_worker(master: int, _: str) -> None:
    with suppress(ProcessLookupError, IndexError):
        os.kill(workers_of(master)[0], signal.SIGKILL)


def cut_connections(_: int, url: str) -> None:
    admin = create_engine(url)
    with admin.connect() as connection:
        mine = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        connection.execute(text(f"SELECT pg_terminate_backend(pid) {mine}"))
    admin.dispose()


def under_fire(url: str, folder: Path, harm: Callable[[int, str], None], seconds: float, clients: int) -> dict[str, Any]:
    """Serve, load, harm twice a second; then compare what was acknowledged with what is there. Returns the figures."""
    port = free_port()
    with (folder / "server.log").open("w", encoding="utf-8") as log:
        server = started(folder, port, log, SERVICE_DATABASE_URL=url)
    wait_for(server, port)
    load, harms, store = Load(port, clients), 0, Quotes(url, 2)
    until = time.monotonic() + seconds
    while time.monotonic() < until or harms < 3:  # a busy machine harms more slowly
        time.sleep(0.5)
        harm(server.pid, url)
        harms += 1
        if harms == 2:
            back_up_until_whole(store, folder / "under-load.backup")
    load.stop()
    code, _ = stopped(server)
    kept = [(each.id, each.number) for each in kept_quotes(store)]
    store.close()
    numbers = [number for _, number in kept]
    figures = {"harms": harms, "acknowledged": len(load.acknowledged), "stored": len(kept), "others": dict(load.others)}
    assert code == 0, (folder / "server.log").read_text(encoding="utf-8")[-2000:]
    assert set(load.acknowledged) <= set(kept), figures
    assert len(set(load.acknowledged)) == len(load.acknowledged)
    assert sorted(numbers) == [f"Q-2026-{number:06d}" for number in range(1, len(numbers) + 1)], figures
    assert load.acknowledged
    assert "TimeoutError" not in load.others, figures
    return {**figures, "restored": restored_from(folder, dict(kept))}


def back_up_until_whole(store: Quotes, file: Path) -> None:
    """Its connection may be cut as well: then it is taken again."""
    for _ in range(5):
        with suppress(Exception):
            back_up(store, file)
            return
    pytest.fail("no backup could be taken")


def restored_from(folder: Path, kept: dict[str, str]) -> int:
    """Restore the backup of under the load into a file, and hold each of its quotes to what is stored."""
    copy = Quotes(f"sqlite:///{folder}/restored.sqlite3")
    restore(copy, folder / "under-load.backup")
    numbers = {each.id: each.number for each in kept_quotes(copy)}
    copy.close()
    assert numbers.items() <= kept.items()
    return len(numbers)


def emptied(url: str) -> str:
    store = Quotes(url, 1)
    migrate(store.engine())
    with store.writing() as connection:
        for table in reversed(metadata.sorted_tables):
            connection.execute(table.delete())
    store.close()
    return url


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="finds a server's workers in /proc")
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_a_killed_worker_loses_no_acknowledged_quote_and_doubles_none(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    url = emptied(request.getfixturevalue("postgres")) if kind == "postgresql" else f"sqlite:///{tmp_path}/q.sqlite3"
    assert under_fire(url, tmp_path, kill_a_worker, 2, 4)["harms"] >= 3


@pytest.mark.long
def test_cut_connections_lose_no_acknowledged_quote_and_double_none(postgres: str, tmp_path: Path) -> None:
    assert under_fire(emptied(postgres), tmp_path, cut_connections, 2, 4)["harms"] >= 3


def main(seconds: float, clients: int, url: str) -> None:
    """The larger run; `url` is of a PostgreSQL database of its own, that is emptied."""
    for name, harm, at in (
        ("worker, SQLite", kill_a_worker, ""),
        ("worker, PostgreSQL", kill_a_worker, url),
        ("connections", cut_connections, url),
    ):
        with tempfile.TemporaryDirectory() as place:
            print(name, under_fire(emptied(at) if at else f"sqlite:///{place}/q.sqlite3", Path(place), harm, seconds, clients))


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
