"""A database that is held, full or gone: a clear answer, and nothing half done."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text

from service.engine import Engine
from service.storage import Quotes, connect, database
from tests.service.conftest import made_app

WHO = {"customer": {"name": "Asta Lindqvist"}}


@pytest.fixture
def hurried(engine: Engine, quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> FlaskClient:
    """A client of a service that waits a twentieth of a second."""
    monkeypatch.setattr(database, "PATIENCE_SECONDS", 0.05)
    monkeypatch.setattr(connect, "_PRAGMAS", ("journal_mode = WAL", "busy_timeout = 50", "foreign_keys = ON"))
    return made_app(engine, quotes).test_client()


def refused(answer: Any, words: str) -> None:
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert words in answer.json["detail"]


def test_a_long_writer_holds_up_writers_who_are_told_so_and_no_reader(hurried: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    made = hurried.post("/v1/quotes", json=demo)
    seen = {"If-Match": made.headers["ETag"]}
    with closing(sqlite3.connect(quotes._url.removeprefix("sqlite:///"), isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        refused(hurried.post("/v1/quotes", json=demo), "Others hold the database")
        refused(hurried.post(f"{made.headers['Location']}/acceptance", json=WHO, headers=seen), "Others hold the database")
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
    with quotes.writing():
        refused(hurried.post("/v1/quotes", json=demo), "Others hold the database")
    assert hurried.post("/v1/quotes", json=demo).json["number"] == "Q-2026-000001"


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
        refused(answer, "does not answer")
        assert str(tmp_path).encode() not in answer.data
    assert client.post("/v1/quotes/preview", json=demo).status_code == 200
