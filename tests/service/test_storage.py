"""Stored quotes, on SQLite and on PostgreSQL: numbers without a gap, documents that never change."""

from __future__ import annotations

import multiprocessing
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from service.storage import Quotes, migrate
from service.storage.connect import WRITES

DOCUMENT: dict[str, Any] = {
    "issued_on": "2026-11-25",
    "valid_until": "2026-12-25",
    "currency": "USD",
    "note": "Ångström ⅜ 船",
    "totals": {"payable": "12.50"},
    "provenance": {"catalogue": "a", "price_table": "b"},
}


def test_fifty_quotes_at_once_get_fifty_consecutive_numbers(store: Quotes) -> None:
    with ThreadPoolExecutor(50) as pool:
        made = list(pool.map(lambda _: store.issue(DOCUMENT, b"{}")[0], range(50)))
    assert sorted(each.number for each in made) == [f"Q-2026-{number:06d}" for number in range(1, 51)]
    assert len({each.id for each in made}) == 50
    assert [each.id for each in store.page(50)] == sorted((each.id for each in made), reverse=True)


def test_each_year_counts_on_its_own(store: Quotes) -> None:
    days = ("2026-12-31", "2027-01-01", "2026-12-31", "2027-01-01")
    numbers = [store.issue({**DOCUMENT, "issued_on": day}, b"{}")[0].number for day in days]
    assert numbers == ["Q-2026-000001", "Q-2027-000001", "Q-2026-000002", "Q-2027-000002"]


def test_a_number_whose_quote_could_not_be_stored_is_given_again(store: Quotes) -> None:
    store.issue(DOCUMENT, b"{}")
    with pytest.raises(IntegrityError):
        store.issue({**DOCUMENT, "currency": None}, b"{}")
    assert store.issue(DOCUMENT, b"{}")[0].number == "Q-2026-000002"


def test_what_was_answered_is_what_is_read(store: Quotes) -> None:
    stored, said = store.issue(DOCUMENT, b"{}")
    found = store.get(stored.id)
    assert found == stored
    assert found is not None
    assert found.body() == said
    assert store.get("01a21211-138e-7ff9-814a-1ce6de70983e") is None


def test_a_status_is_current_and_the_rest_stays(store: Quotes) -> None:
    stored, said = store.issue(DOCUMENT, b"{}")
    with store.engine().begin() as connection:
        connection.execute(text("UPDATE quotes SET status = 'accepted'"))
    found = store.get(stored.id)
    assert found is not None
    assert found.body() == said.replace(b'"issued"', b'"accepted"', 1)
    assert found.etag != stored.etag


def test_a_page_starts_after_its_cursor(store: Quotes) -> None:
    made = [store.issue(DOCUMENT, b"{}")[0].id for _ in range(5)]
    assert {each.id for each in store.page(10)} == set(made)
    newest = store.page(2)
    assert [each.id for each in newest] == sorted(made, reverse=True)[:2]
    assert [each.id for each in store.page(10, newest[-1].id)] == sorted(made, reverse=True)[2:]


def _issue_ten(url: str) -> list[str]:
    store = Quotes(url)
    try:
        return [store.issue(DOCUMENT, b"{}")[0].number for _ in range(10)]
    finally:
        store.close()


def test_processes_that_write_at_once_share_one_series(store: Quotes) -> None:
    url = store._url
    with multiprocessing.get_context("spawn").Pool(3) as pool:
        numbers = [number for ten in pool.map(_issue_ten, [url] * 3) for number in ten]
    assert sorted(numbers) == [f"Q-2026-{number:06d}" for number in range(1, 31)]


def test_sqlite_writes_ahead_waits_for_its_turn_and_outlasts_a_power_cut(tmp_path: Path) -> None:
    store = Quotes(f"sqlite:///{tmp_path}/quotes.sqlite3")
    migrate(store.engine())
    with store.engine().connect() as connection:
        found = {
            name: connection.execute(text(f"PRAGMA {name}")).scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    store.close()
    assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 10_000}  # 2 is FULL


def test_a_writer_has_its_lock_before_its_first_statement(tmp_path: Path) -> None:
    path = tmp_path / "quotes.sqlite3"
    store = Quotes(f"sqlite:///{path}")
    migrate(store.engine())
    with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as other:
        writer = store.engine().connect().execution_options(**{WRITES: True})
        with writer, writer.begin(), pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        with store.engine().connect() as connection, connection.begin():
            other.execute("BEGIN IMMEDIATE")  # a reader holds no one up
    store.close()


def test_migrating_again_changes_nothing(store: Quotes) -> None:
    stored, _ = store.issue(DOCUMENT, b"{}")
    migrate(store.engine())
    assert store.get(stored.id) == stored
