"""A database that is locked, full or gone: a clear response, and nothing half done."""

from __future__ import annotations

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text

from service.engine.engine import Engine
from service.storage import Quotes, database, engines
from tests.service.conftest import made_app

WHO = {"customer": {"name": "Asta Lindqvist"}}


@pytest.fixture
def hurried(engine: Engine, quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> FlaskClient:
    """A client of a service that waits a twentieth of a second."""
    quotes._pool_size = 4  # so that it is the lock that is waited for, and no connection
    monkeypatch.setattr(database, "PATIENCE_SECONDS", 0.05)
    monkeypatch.setattr(engines, "PATIENCE_SECONDS", 0.05)
    monkeypatch.setattr(engines, "_PRAGMAS", ("PRAGMA journal_mode = WAL", "PRAGMA foreign_keys = ON"))
    return made_app(engine, quotes).test_client()


def refused(answer: Any, words: str) -> None:
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert words in answer.json["detail"]


def test_a_long_writer_holds_up_writers_who_are_told_so_and_no_reader(hurried: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    made = hurried.post("/v1/quotes", json=demo)
    seen = {"If-Match": made.headers["ETag"]}
    with closing(sqlite3.connect(quotes._url.removeprefix("sqlite:///"), isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        refused(hurried.post("/v1/quotes", json=demo), "The database was locked")
        refused(hurried.post(f"{made.headers['Location']}/acceptance", json=WHO, headers=seen), "The database was locked")
        assert hurried.get(made.headers["Location"]).data == made.data
        other.execute("ROLLBACK")
    assert hurried.post("/v1/quotes", json=demo).json["number"] == "Q-2026-000002"
    assert hurried.post(f"{made.headers['Location']}/acceptance", json=WHO, headers=seen).status_code == 200


def test_a_long_reader_holds_up_no_one(hurried: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    hurried.post("/v1/quotes", json=demo)
    with closing(sqlite3.connect(quotes._url.removeprefix("sqlite:///"), isolation_level=None)) as other:
        other.execute("BEGIN")
        assert other.execute("SELECT count(*) FROM quotes").fetchone() == (1,)
        assert hurried.post("/v1/quotes", json=demo).status_code == 201
        assert other.execute("SELECT count(*) FROM quotes").fetchone() == (1,)


def test_threads_that_wait_too_long_for_each_other_are_told_so(hurried: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    with ThreadPoolExecutor(1) as other, quotes.writing():
        refused(other.submit(lambda: hurried.post("/v1/quotes", json=demo)).result(), "The database was locked")
    assert hurried.post("/v1/quotes", json=demo).json["number"] == "Q-2026-000001"


def test_a_writer_gets_the_database_once_another_process_lets_go_of_it(quotes: Quotes) -> None:
    begun = threading.Event()

    def write() -> str:
        begun.set()
        with quotes.writing() as connection:
            return str(connection.execute(text("PRAGMA busy_timeout")).scalar_one())

    with closing(sqlite3.connect(quotes._url.removeprefix("sqlite:///"), isolation_level=None)) as other, ThreadPoolExecutor(1) as pool:
        other.execute("BEGIN IMMEDIATE")
        waiting = pool.submit(write)
        assert begun.wait(60)
        assert not waiting.done()
        other.execute("ROLLBACK")
        assert waiting.result(60) == str(1000 * engines.PATIENCE_SECONDS)  # for whatever else it may wait


def test_a_full_disk_is_told_and_no_number_is_lost(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    client = made_app(engine, quotes).test_client()
    made = client.post("/v1/quotes", json=demo)
    with quotes.engine().connect() as connection:
        pages = connection.execute(text("PRAGMA page_count")).scalar_one()
        connection.execute(text(f"PRAGMA max_page_count = {pages}"))
    answers = [client.post("/v1/quotes", json=demo) for _ in range(4)]
    full = [answer for answer in answers if answer.status_code != 201]
    assert full
    for answer in full:
        refused(answer, "no space left")
    assert client.get(made.headers["Location"]).data == made.data
    with quotes.engine().connect() as connection:
        connection.execute(text("PRAGMA max_page_count = 1073741823"))
    numbers = [*sorted(each.number for each in quotes.page(100)), client.post("/v1/quotes", json=demo).json["number"]]
    assert numbers == [f"Q-2026-{number:06d}" for number in range(1, len(numbers) + 1)]


def test_a_database_that_is_gone_is_503_on_every_address_that_needs_it(engine: Engine, tmp_path: Any, demo: dict[str, Any]) -> None:
    client = made_app(engine, Quotes(f"sqlite:///{tmp_path}/none/quotes.sqlite3")).test_client()
    at = "/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e"
    for answer in (client.post("/v1/quotes", json=demo), client.get(at), client.get("/v1/quotes"), client.get(f"{at}/events")):
        refused(answer, "does not respond")
        assert str(tmp_path).encode() not in answer.data
    assert client.post("/v1/quotes/preview", json=demo).status_code == 200
