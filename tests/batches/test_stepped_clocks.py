"""Workers whose time of day is wrong, or is set while they work, neither lose nor duplicate anything; what a dead one held is taken over
by another."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import func, select, text

from service.batches.process_chunk import ChunkProcessor
from service.engine.engine import Engine
from service.storage import Batches, Endpoints, Messages, Quotes, processes
from service.storage.chunks import Chunk, Chunks, Lost
from service.storage.leases import HeldLease, Watch
from service.storage.tables import batch_chunks, webhook_messages
from service.storage.tables import quotes as quotes_table
from service.webhooks.signing import new_secret
from tests.batches.fleet import NDJSON, fleet
from tests.batches.under_fire import Site, crew_of, kill, through, unharmed
from tests.service.conftest import DAY, made_app
from tests.service.test_clocks import HOUR, set_clock
from tests.service.test_kills import emptied
from tests.service.test_storage import QUOTE

LEASE = 20.0
ELSEWHERE = "elsewhere pid:[1] 1 1"  # a process of another machine, of which nothing can be known
STEPPING = """
import time
_real, time.time = time.time, lambda: _real() + (3600 if int(time.monotonic()) % 2 else -3600)
"""


class Steady:
    """A clock that runs evenly, as fast as a test says."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def steady() -> Steady:
    return Steady()


@pytest.fixture
def app(engine: Engine, store: Quotes) -> Flask:
    """The service, with a batch of three chunks."""
    app = made_app(engine, store)
    assert app.test_client().post("/v1/batches", data=fleet(60), content_type=NDJSON).status_code == 202
    return app


def claimed(chunks: Chunks) -> Chunk:
    found = chunks.claim()
    assert found is not None
    return found


def held_by(store: Quotes, process: str) -> None:
    """As if that process held whatever is held."""
    with store.writing() as connection:
        for table in (batch_chunks, webhook_messages):
            connection.execute(table.update().where(table.c.holder.is_not(None)).values(process=process))


def a_dead_process() -> str:
    place, process, _ = processes.this_process().rsplit(" ", 2)
    return f"{place} {process} 1"  # an earlier one of this number


def test_the_same_mark_for_a_lease_is_left_behind_and_a_changed_one_counts_anew(steady: Steady) -> None:
    watch = Watch(LEASE, steady)

    def left(*marks: int) -> list[int]:
        return [each.mark[0] for each in watch.abandoned(lambda: [HeldLease((at,), (mark,), ELSEWHERE) for at, mark in enumerate(marks)])]

    assert left(1, 1) == []
    steady.now = LEASE - 1
    assert left(1, 2) == []
    steady.now = LEASE
    assert left(1, 2) == [1]
    steady.now = 2 * LEASE - 2
    assert left(1, 2) == [1]
    steady.now += 1
    assert left(1, 2) == [1, 2]
    assert left(1) == [1]
    assert left(1, 2) == [1]  # it was gone meanwhile, and is seen for the first time again


def test_a_look_that_takes_long_counts_from_its_end_to_the_next_beginning(steady: Steady) -> None:
    watch = Watch(LEASE, steady)

    def slow() -> list[HeldLease]:
        steady.now += 50
        return [HeldLease((1,), (1,))]

    assert watch.abandoned(slow) == []
    assert watch.abandoned(slow) == []  # 0 s lie between the two
    steady.now += LEASE
    assert watch.abandoned(slow) == [HeldLease((1,), (1,))]


@pytest.mark.parametrize("by", [-HOUR, HOUR])
def test_a_clock_that_is_wrong_by_an_hour_takes_nothing_from_whoever_works(
    app: Flask, store: Quotes, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    """One worker begins; another, whose clock is then set by an hour, does all the rest meanwhile."""
    one, other = (ChunkProcessor(store, app.extensions["catalogues"], LEASE) for _ in range(2))
    begun = claimed(one.chunks)
    assert other.work_one()
    with monkeypatch.context() as elsewhere:
        set_clock(elsewhere, by)
        while other.work_one():
            pass
    made = one._results(begun, lambda: False)
    one._keep(begun, made or [])
    with store.reading() as connection:
        assert {tuple(row) for row in connection.execute(select(batch_chunks.c.state, batch_chunks.c.attempts))} == {("done", 1)}
        assert connection.execute(select(func.count()).select_from(quotes_table)).scalar_one() == 60


@pytest.mark.parametrize("by", [-HOUR, HOUR])
def test_a_clock_that_is_set_while_lines_are_worked_on_neither_loses_nor_doubles_them(
    app: Flask, store: Quotes, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    shop, left = ChunkProcessor(store, app.extensions["catalogues"], LEASE), 60

    def step() -> bool:  # asked before each line
        nonlocal left
        left -= 1
        if left == 45:
            set_clock(monkeypatch, by)
        return False

    while shop.work_one(step):
        pass
    assert left == 0
    [made] = Batches(store).page(2)
    assert (made.status, made.succeeded, made.failed) == ("completed", 60, 0)


@pytest.mark.parametrize("by", [-HOUR, 0.0, HOUR])
def test_what_a_dead_worker_held_is_taken_up_at_once_where_its_death_is_known_and_after_a_lease_elsewhere(
    app: Flask, store: Quotes, monkeypatch: pytest.MonkeyPatch, steady: Steady, by: float
) -> None:
    dead, here = (Chunks(store, LEASE, steady) for _ in range(2))
    gone = [claimed(dead) for _ in range(3)]
    set_clock(monkeypatch, by)
    assert here.claim() is None
    held_by(store, ELSEWHERE)
    for moment in (0.0, LEASE - 0.1):  # the mark on it changed: it counts anew
        steady.now = moment
        assert here.claim() is None
    with store.writing() as connection:
        first = gone[0].first
        connection.execute(text("UPDATE batch_chunks SET process = :name WHERE first = :at"), {"name": a_dead_process(), "at": first})
    assert claimed(here).first == first
    assert here.claim() is None
    steady.now = LEASE
    assert {claimed(here).first, claimed(here).first} == {each.first for each in gone[1:]}
    for each in gone:
        with pytest.raises(Lost), dead.keeping(each):
            pass


def test_whoever_says_in_time_that_it_works_is_left_alone_for_ever(app: Flask, store: Quotes, steady: Steady) -> None:
    one, other = (Chunks(store, LEASE, steady) for _ in range(2))
    held = [claimed(one) for _ in range(3)]
    for _ in range(50):
        assert other.claim() is None
        steady.now += 0.9 * LEASE
        for each in held:
            one.renew(each)
    steady.now += LEASE
    assert other.claim() is None  # renewed since the last look
    steady.now += LEASE
    assert other.claim() is not None


def test_a_chunk_that_was_renewed_after_the_last_look_is_not_freed(
    app: Flask, store: Quotes, monkeypatch: pytest.MonkeyPatch, steady: Steady
) -> None:
    """Between the look that finds it left behind and the freeing, its worker wakes up."""
    one, other = (Chunks(store, LEASE, steady) for _ in range(2))
    held = [claimed(one) for _ in range(3)]
    assert other.claim() is None
    steady.now = LEASE
    seen = other._held()
    for each in held:
        one.renew(each)
    monkeypatch.setattr(other, "_held", lambda: seen)
    assert other.claim() is None


@pytest.mark.parametrize("by", [-HOUR, HOUR])
def test_a_message_is_left_to_who_delivers_it_and_taken_up_from_the_dead(
    store: Quotes, monkeypatch: pytest.MonkeyPatch, steady: Steady, by: float
) -> None:
    endpoint = Endpoints(store).add("http://127.0.0.1:9/hook", ["quote.issued"], new_secret(), DAY)
    store.issue(QUOTE, b"{}")
    with monkeypatch.context() as elsewhere:
        usual = Messages(store, LEASE)
        [held] = usual.claim(endpoint, 4)
        usual.free()
        set_clock(elsewhere, by)
        usual.free()
        assert usual.claim(endpoint, 4) == []
    usual.failed(held, "", 0)  # when it is tried again is by the time of day
    one, other = (Messages(store, LEASE, steady=steady) for _ in range(2))
    [held] = one.claim(endpoint, 4)

    def taken() -> list[Any]:
        other.free()
        return other.claim(endpoint, 4)

    assert taken() == []
    held_by(store, ELSEWHERE)
    for moment in (0.0, LEASE - 0.1):
        steady.now = moment
        assert taken() == []
    steady.now = LEASE
    assert [each.id for each in taken()] == [held.id]
    held_by(store, a_dead_process())
    assert [each.id for each in taken()] == [held.id]
    one.delivered(held, "200")  # another holds it by now
    assert other.counts() == {(endpoint, "waiting"): 1}


@pytest.mark.parametrize("by", [-HOUR, HOUR])
def test_a_batch_that_is_being_received_is_not_forgotten_by_a_wrong_clock(
    store: Quotes, engine: Engine, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    kept = Batches(store)
    batch = kept.open("quotes", "ndjson", engine.key)
    kept.drop_unfinished()
    set_clock(monkeypatch, by)
    kept.drop_unfinished()
    assert kept.mark_received(batch, 0).status == "waiting"


def test_of_what_an_earlier_release_left_held_nothing_is_lost(app: Flask, store: Quotes, steady: Steady) -> None:
    """Its rows have a holder and no mark beside it."""
    for _ in range(3):
        claimed(Chunks(store, LEASE, steady))
    with store.writing() as connection:
        connection.execute(text("UPDATE batch_chunks SET process = NULL, renewals = NULL"))
    here = Chunks(store, LEASE, steady)
    assert here.claim() is None
    steady.now = LEASE
    assert len({claimed(here).first for _ in range(3)}) == 3


@pytest.fixture
def stepping(tmp_path: Path) -> Iterator[Path]:
    """A folder for the path of a process whose time of day is set by two hours each second."""
    folder = tmp_path / "clock"
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(STEPPING, encoding="utf-8")
    yield folder
    with suppress(FileNotFoundError):
        (folder / "sitecustomize.py").unlink()


@pytest.mark.skipif(sys.platform != "linux", reason="finds workers in /proc")
def test_machines_whose_clocks_are_set_each_second_lose_nothing_and_double_nothing(postgres: str, tmp_path: Path, stepping: Path) -> None:
    site = Site(tmp_path, emptied(postgres), machines=2)
    site.first_of_machines = [stepping]

    def lose_a_machine(_: Site) -> None:
        gone = site.machines[0]
        kill([*crew_of(gone.pid), gone.pid])
        gone.wait()

    unharmed(through(site, 200, [(0.2, lose_a_machine)], assemblies=6))
    store = Quotes(site.url, 1)
    with store.reading() as connection:  # one was killed at most in the midst of one; no other was begun twice
        begun = connection.execute(select(func.sum(batch_chunks.c.attempts - 1))).scalar_one()
    store.close()
    assert begun <= 1
