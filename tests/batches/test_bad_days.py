"""A fleet on a bad day: a full disk, an unresponsive database, no Redis, an upload sent twice, a cancellation. Each is reported in
words."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select, text
from sqlalchemy.exc import OperationalError

from service.batches import progress
from service.batches.progress import Followers
from service.engine.engine import Engine
from service.storage import Batches, Progress, Quotes
from service.storage.tables import batches
from service.storage.tables import quotes as quotes_table
from tests.batches.fleet import NDJSON, chunk_processor, fleet, results, worked
from tests.batches.own_servers import own_redis
from tests.batches.under_fire import NDJSON as AS_NDJSON
from tests.batches.under_fire import Site, through, unharmed
from tests.batches.under_fire import fleet as large_fleet
from tests.service.conftest import made_app
from tests.service.test_kills import emptied
from tests.service.test_server import call


def post(client: FlaskClient, body: bytes, **headers: str) -> Any:
    return client.post("/v1/batches", data=body, content_type=NDJSON, headers=headers)


def count(store: Quotes, table: Any) -> int:
    with store.reading() as connection:
        return int(connection.execute(select(func.count()).select_from(table)).scalar_one())


@pytest.fixture
def full(quotes: Quotes) -> Any:
    """`full(True)`: the file may not grow any more; `full(False)`: there is room again. The store's one connection is told."""

    def tell(no_room: bool) -> None:
        with quotes.engine().connect() as connection:
            pages = connection.execute(text("PRAGMA page_count")).scalar_one()
            connection.execute(text(f"PRAGMA max_page_count = {pages if no_room else 1073741823}"))

    return tell


def test_a_batch_for_which_there_is_no_room_is_refused_whole_and_can_be_sent_again(
    app: Flask, client: FlaskClient, quotes: Quotes, full: Any
) -> None:
    full(True)
    refused = post(client, fleet(600), **{"Idempotency-Key": "room"})
    assert (refused.status_code, refused.headers["Retry-After"]) == (503, "5")
    assert "no space left" in refused.json["detail"]
    full(False)
    assert client.get("/v1/batches").json["batches"] == []
    made = post(client, fleet(600), **{"Idempotency-Key": "room"})
    assert (made.status_code, made.json["total"]) == (202, 600)


def test_where_the_disk_fills_up_in_the_middle_nothing_is_lost_and_it_goes_on_once_there_is_room(
    app: Flask, client: FlaskClient, quotes: Quotes, full: Any
) -> None:
    made = post(client, fleet(200))
    shop = chunk_processor(app, quotes)
    assert shop.work_one()
    full(True)
    with pytest.raises(OperationalError, match="full"):
        worked(app, quotes)
    before = client.get(made.json["href"]).json
    assert before["status"] == "running"
    assert 25 <= before["succeeded"] < 200
    late = Batches(quotes, lambda: time.time() + 31).progress(made.json["id"])
    assert late is not None
    assert "GET /readyz" in (late.stalled or "")
    full(False)
    worked(app, quotes)
    now = client.get(made.json["href"]).json
    assert (now["status"], now["succeeded"], now["failed"], now["stalled"]) == ("completed", 200, 0, None)
    assert sorted(each["quote"]["number"] for each in results(client, made)) == [f"Q-2026-{number:06d}" for number in range(1, 201)]
    assert count(quotes, quotes_table) == 200


def test_a_batch_that_nobody_works_on_says_so_after_half_a_minute_and_not_before(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(60))

    def stalled(seconds: float) -> str | None:
        found = Batches(quotes, lambda: time.time() + seconds).progress(made.json["id"])
        assert found is not None
        return found.stalled

    assert client.get(made.json["href"]).json["stalled"] is None
    assert stalled(25) is None
    assert (stalled(35) or "").startswith("No line has been finished for 35 s.")
    chunk_processor(app, quotes).work_one()
    assert stalled(25) is None
    assert "a batch worker is running" in (stalled(35) or "")
    worked(app, quotes)
    assert stalled(1e6) is None


def test_of_two_batches_sent_at_once_with_one_key_one_is_made(store: Quotes, engine: Engine) -> None:
    app, body = made_app(engine, store), fleet(1200)
    answers: list[Any] = []
    both = threading.Barrier(2)

    def send() -> None:
        client = app.test_client()
        both.wait()
        answers.append(post(client, body, **{"Idempotency-Key": "fleet-7"}))

    senders = [threading.Thread(target=send) for _ in range(2)]
    for each in senders:
        each.start()
    for each in senders:
        each.join()
    made = [each for each in answers if each.status_code == 202]
    told = [each for each in answers if each.status_code == 409]
    assert len(made) + len(told) == 2
    assert made
    assert all("again" in each.json["detail"] and each.headers["Retry-After"] for each in told)
    later = post(app.test_client(), body, **{"Idempotency-Key": "fleet-7"})
    assert {each.json["id"] for each in [*made, later]} == {later.json["id"]}
    assert count(store, batches) == 1


@pytest.mark.long
def test_a_batch_cancelled_while_its_workers_are_at_it_ends_there_and_what_was_quoted_stays(tmp_path: Path) -> None:
    site = Site(tmp_path, f"sqlite:///{tmp_path}/q.sqlite3")
    site.start()
    address = call(site.port, "POST", "/v1/batches", large_fleet(400), AS_NDJSON)[1]["Location"]
    while json.loads(call(site.port, "GET", address)[2])["succeeded"] < 25:
        time.sleep(0.02)
    status, _, said = call(site.port, "DELETE", address)
    cancelled = json.loads(said)
    assert (status, cancelled["status"]) == (200, "cancelled")
    time.sleep(1)  # who was at a chunk has seen it by now
    now = json.loads(call(site.port, "GET", address)[2])
    lines = call(site.port, "GET", f"{address}/results?quotes=heads")[2].splitlines()
    site.stop()
    store = Quotes(site.url, 1)
    assert now["succeeded"] == cancelled["succeeded"] == len(lines) == count(store, quotes_table) < 400
    store.close()


@pytest.mark.long
def test_a_batch_sent_while_redis_is_gone_is_worked_on_all_the_same(postgres: str, tmp_path: Path) -> None:
    with own_redis(tmp_path) as redis:
        redis.kill()
        came = through(Site(tmp_path, emptied(postgres), machines=2, redis=redis.url), 100, [(0.5, lambda _: redis.start())])
    unharmed(came)


def test_a_follower_is_told_that_the_database_is_silent_and_then_how_it_went_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "HEARTBEAT_SECONDS", 0.01)
    done = Progress("1", "quotes", "ndjson", "completed", "2026-11-25T12:00:00Z", 2, 2, 0, 1.0, 0)
    found: Iterator[Any] = iter([OperationalError("", {}, Exception("gone")), done])

    def look() -> Progress:
        each = next(found)
        if isinstance(each, Exception):
            raise each
        assert isinstance(each, Progress)
        return each

    followers = Followers(1)
    assert followers.admit()
    said = b"".join(followers.stream(look, None, followers.leaving()))
    assert said.index(b": the database does not answer") < said.index(b"event: completed")
