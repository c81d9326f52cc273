"""Workers killed amid settling, accepting and taking: each step is there whole, with its event and what follows from it, or not at all."""

from __future__ import annotations

import json
import os
import threading
import time
from collections import Counter
from contextlib import closing, suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from service.storage import Quotes
from service.storage.stored_quotes import kept_quotes
from service.storage.tables import events, movements
from tests.service.steps import WORDS
from tests.service.test_kills import SMALL, emptied, kill_a_worker
from tests.service.test_server import JSON, call, free_port, started, stopped, wait_for

ASKING = json.loads(SMALL)
ASKING["assemblies"][0]["wire"] = {"construction": "1x19", "material": "316", "measured": "4.78 mm"}
BODY = json.dumps(ASKING).encode()


class Customers:
    """Each takes one quote after the other as far as it can: settled, accepted, planned, taken. A step that is cut off is not repeated."""

    def __init__(self, port: int, many: int) -> None:
        self.done: Counter[str] = Counter()
        self._port, self._stop = port, threading.Event()
        self._all = [threading.Thread(target=self._come) for _ in range(many)]
        for each in self._all:
            each.start()

    def stop(self) -> None:
        self._stop.set()
        for each in self._all:
            each.join()

    def _come(self) -> None:
        while not self._stop.is_set():
            with suppress(OSError, HTTPException, _CutOff):
                self._one()

    def _one(self) -> None:
        made = self._asked("POST", "/v1/quotes", BODY)
        at = f"/v1/quotes/{made['id']}"
        asked = self._asked("GET", f"{at}/settlements")["open"]
        answers = [{**{name: each[name] for name in ("tag", "code", "pointer")}, **WORDS} for each in asked]
        self._asked("POST", f"{at}/settlements", json.dumps({"settlements": answers}).encode())
        self._asked("POST", f"{at}/acceptance", b'{"customer": {"name": "Asta Lindqvist"}}', {"If-Match": "*"})
        plan = self._asked("GET", f"{at}/cutting-plan")
        self._asked("POST", f"/v1/cutting-plans/{plan['id']}/take", b"{}")

    def _asked(self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None) -> Any:
        status, _, said = call(self._port, method, path, body, {**JSON, **(headers or {})})
        self.done[f"{path.rpartition('/')[2]} {status}"[-20:] if status >= 400 else path.rpartition("/")[2][:14]] += 1
        if status >= 400:
            raise _CutOff
        return json.loads(said)


class _CutOff(Exception):
    """A step that was refused, or not answered."""


def under_fire(url: str, folder: Path, seconds: float) -> Counter[str]:
    port = free_port()
    with (folder / "server.log").open("w", encoding="utf-8") as log:
        server = started(folder, port, log, SERVICE_DATABASE_URL=url, SERVICE_WORKERS="2")
    wait_for(server, port)
    customers, kills = Customers(port, 4), 0
    until = time.monotonic() + seconds
    while time.monotonic() < until or kills < 5:
        time.sleep(0.7)
        kill_a_worker(server.pid, url)
        kills += 1
    customers.stop()
    code, _ = stopped(server)
    assert code == 0, (folder / "server.log").read_text(encoding="utf-8")[-2000:]
    return customers.done


def whole(store: Quotes) -> Counter[str]:
    """How far each quote came; each must be whole in itself, and with the shelf."""
    with store.reading() as connection:
        happened: dict[str, list[str]] = {}
        for row in connection.execute(select(events.c.quote_id, events.c.type).order_by(events.c.quote_id, events.c.sequence)):
            happened.setdefault(row.quote_id, []).append(row.type.removeprefix("quote."))
        takes = connection.execute(select(movements.c.id).where(movements.c.type == "take")).scalars().all()
    found: Counter[str] = Counter()
    for kept in kept_quotes(store):
        stored = store.get(kept.id)
        assert stored is not None, f"{kept.number} is listed, and not there by its id"
        quote, steps = stored.quote(), happened.get(kept.id, [])
        accepted, cut = bool(quote.accepted), bool(quote.pieces_cut)
        assert steps == ["settled", "accepted", "in_work"][: len(steps)], (kept.number, steps)
        assert bool(quote.settlements) is (len(steps) >= 1), kept.number
        assert (set((quote.current_readiness or {}).values()) == {"ready_to_cut"}) is (len(steps) >= 1), kept.number
        assert (accepted, cut) == (len(steps) >= 2, len(steps) == 3), kept.number
        assert stored.status == ["issued", "issued", "accepted", "in_work"][len(steps)], kept.number
        assert stored.standing_version == len(steps), kept.number
        found[stored.status] += 1
    assert len(takes) == found["in_work"], found
    return found


@pytest.mark.long
def test_a_step_is_there_whole_or_not_at_all(store: Quotes, tmp_path: Path) -> None:
    url = emptied(store.url)
    done = under_fire(url, tmp_path, float(os.environ.get("TEST_SECONDS", "6")))
    with closing(Quotes(url, 1)) as after:
        found = whole(after)
    assert found["in_work"] >= 1, (found, done)
