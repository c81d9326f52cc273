"""Clocks that are adjusted or disagree: nobody gains access by them, and nobody is locked out for long."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError

from service.auth.keyring import LOOK_SECONDS, MOST_BLIND_SECONDS, Keyring
from service.credentials.keys import Key as OneKey
from service.credentials.keys import Kind, digest_of, new_key
from service.rate_limit.buckets import Buckets, FileBuckets
from service.storage import IdempotencyStore, Keys, Quotes, processes
from service.storage.idempotency import LEASE_SECONDS, StillRunning
from tests.service.holders import MADE, kept_key
from tests.service.test_limits import Later, buckets  # noqa: F401  # a fixture
from tests.service.test_once import ASKED

HOUR = 3600.0


def set_clock(monkeypatch: pytest.MonkeyPatch, by: float) -> None:
    """The time of day of this process, as another machine or a step may have it."""
    real = time.clock_gettime
    monkeypatch.setattr(time, "time", lambda: real(time.CLOCK_REALTIME) + by)


@pytest.mark.parametrize("by", [-HOUR, HOUR])
def test_a_revocation_counts_whatever_the_clock_of_who_revoked(quotes: Quotes, monkeypatch: pytest.MonkeyPatch, by: float) -> None:
    key = kept_key(quotes)
    with monkeypatch.context() as elsewhere:
        set_clock(elsewhere, by)
        Keys(quotes).revoke(key.split("_")[2])
    assert Keyring(Keys(quotes)).find(key) is None
    set_clock(monkeypatch, -2 * HOUR)
    assert Keyring(Keys(quotes)).find(key) is None


def test_a_key_that_lapsed_stays_so_when_the_clock_is_set_back(quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    old = kept_key(quotes)
    key_id, text_of_new = new_key(Kind.SECRET)
    replaced = next(each for each in Keys(quotes).every() if each.id == old.split("_")[2])
    made = OneKey(key_id, Kind.SECRET, "counter", replaced.owner, digest_of(text_of_new), frozenset(), frozenset(), MADE)
    Keys(quotes).add(made, replaced, timedelta(hours=1))
    assert Keyring(Keys(quotes)).find(old) is not None
    with monkeypatch.context() as later:
        set_clock(later, HOUR + 1)
        assert Keyring(Keys(quotes)).find(old) is None
    assert Keyring(Keys(quotes)).find(old) is None
    assert Keyring(Keys(quotes)).find(text_of_new) is not None


def test_each_revocation_is_a_generation_of_its_own(store: Quotes) -> None:
    first, second = kept_key(store), kept_key(store)
    for key in (first, second, first):
        Keys(store).revoke(key.split("_")[2])
    ended = {key.id: key.ended for key in Keys(store).every()}
    assert ended[second.split("_")[2]] == (ended[first.split("_")[2]] or 0) + 1
    assert Keys(store).live() == []


def test_while_the_database_is_gone_keys_go_on_for_some_minutes_and_a_revocation_holds(quotes: Quotes) -> None:
    live, gone = kept_key(quotes), kept_key(quotes)
    now = [0.0]
    ring = Keyring(Keys(quotes), clock=lambda: now[0])
    assert ring.find(live) is not None
    Keys(quotes).revoke(gone.split("_")[2])
    now[0] = LOOK_SECONDS
    assert ring.find(gone) is None
    rename(quotes, "api_keys", "elsewhere")
    for now[0] in (2.0, 100.0, LOOK_SECONDS + MOST_BLIND_SECONDS):
        assert (ring.find(live) is None, ring.find(gone)) == (False, None)
    now[0] += 1.0
    with pytest.raises(SQLAlchemyError):
        ring.find(live)
    rename(quotes, "elsewhere", "api_keys")
    Keys(quotes).revoke(live.split("_")[2])
    now[0] += LOOK_SECONDS
    assert ring.find(live) is None


def rename(store: Quotes, table: str, to: str) -> None:
    with store.engine().begin() as connection:
        connection.execute(text(f"ALTER TABLE {table} RENAME TO {to}"))


def test_a_bucket_heals_when_its_clock_is_an_hour_back(tmp_path: Any) -> None:
    now = [10 * HOUR]
    kept = FileBuckets(f"sqlite:///{tmp_path}/q.sqlite3", clock=lambda: now[0])
    assert [kept.take("one", 1.0, 3.0).allowed for _ in range(4)] == [True, True, True, False]
    now[0] -= HOUR
    again = [kept.take("one", 1.0, 3.0) for _ in range(4)]
    assert [each.allowed for each in again] == [True, True, True, False]
    assert max(each.ahead for each in again) <= 3.0
    kept.close()


def test_a_bucket_counts_by_a_clock_that_no_step_reaches(
    buckets: tuple[Buckets, Later],  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    kept, _ = buckets
    name = f"test {uuid4()}"
    taken = [kept.take(name, 20.0, 60.0).allowed for _ in range(4)]
    set_clock(monkeypatch, -HOUR)
    taken.append(kept.take(name, 20.0, 60.0).allowed)
    set_clock(monkeypatch, HOUR)
    taken.append(kept.take(name, 20.0, 60.0).allowed)
    assert taken == [True, True, True, False, False, False]


def test_redis_whose_clock_was_set_back_locks_nobody_out(buckets: tuple[Buckets, Later]) -> None:  # noqa: F811
    kept, _ = buckets
    client = getattr(kept, "_client", None)
    if client is None:
        return  # of the file the test is above
    name = f"test {uuid4()}"
    client.set(f"wire-quotes:limit:{name}", str(client.time()[0] + HOUR), ex=60)
    assert [kept.take(name, 20.0, 60.0).allowed for _ in range(4)] == [True, True, True, False]


def test_a_process_is_known_by_its_number_and_start() -> None:
    mine = processes.this_process()
    assert processes.runs(mine) is True
    child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    its = processes._name_of(child.pid)
    assert processes.runs(its) is True
    child.communicate(b"\n")
    assert processes.runs(its) is False
    place, process, _ = mine.rsplit(" ", 2)
    assert processes.runs(f"{place} {process} 1") is False  # another had that number
    assert [processes.runs(each) for each in (None, "", "x", f"elsewhere pid:[1] {os.getpid()} 1", f"{place} x 1")] == [None] * 5


def test_a_claim_of_a_dead_process_is_free_and_one_of_an_unknown_process_after_its_lease(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = IdempotencyStore(store, lambda: now[0])
    answers.claim(ASKED)
    with pytest.raises(StillRunning) as running:
        answers.claim(ASKED)
    assert running.value.seconds == 1  # it runs, and may be done at any moment
    held_by(store, "elsewhere pid:[1] 1 1")
    now[0] += 10.5
    with pytest.raises(StillRunning) as unknown:
        answers.claim(ASKED)
    assert unknown.value.seconds == LEASE_SECONDS - 10
    now[0] += unknown.value.seconds
    assert isinstance(answers.claim(ASKED), str)
    place, process, _ = processes.this_process().rsplit(" ", 2)
    held_by(store, f"{place} {process} 1")
    assert isinstance(answers.claim(ASKED), str)


def test_a_claim_made_before_the_clock_was_set_back_is_no_longer_held_for_an_hour(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = IdempotencyStore(store, lambda: now[0])
    answers.claim(ASKED)
    held_by(store, "elsewhere pid:[1] 1 1")
    now[0] -= HOUR
    assert isinstance(answers.claim(ASKED), str)


def test_claims_go_by_the_clock_of_the_database(store: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    """PostgreSQL has its own; a file's is that of its machine."""
    IdempotencyStore(store).claim(ASKED)
    held_by(store, "elsewhere pid:[1] 1 1")
    set_clock(monkeypatch, 50.0)
    with pytest.raises(StillRunning) as running:
        IdempotencyStore(store).claim(ASKED)
    on_a_server = store.engine().dialect.name == "postgresql"
    assert (running.value.seconds > LEASE_SECONDS - 10) is on_a_server


def held_by(store: Quotes, holder: str) -> None:
    with store.engine().begin() as connection:
        connection.execute(text("UPDATE answers SET holder = :holder"), {"holder": holder})
