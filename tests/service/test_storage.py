"""Stored quotes, on SQLite and on PostgreSQL: numbers without a gap, documents that never change."""

from __future__ import annotations

import multiprocessing
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from pricing.model import Boat, Customer, Provenance, Quote, QuotedTotals, Seller
from service.storage import Quotes, migrate
from service.storage.engines import WRITES

ZERO = Decimal("0.00")
QUOTE = Quote(
    binding="estimate",
    issued_on="2026-11-25",
    valid_until="2026-12-25",
    currency="USD",
    price_list="retail",
    seller=Seller(name="An invented loft"),
    customer=Customer(None, None, None),
    boat=Boat(None, None),
    display_units="metric",
    delivery="collect",
    note="Ångström ⅜ 船",
    lead_time_days=5,
    left_out=(),
    assemblies=(),
    bill_of_materials=(),
    lines=(),
    charges=(),
    totals=QuotedTotals(ZERO, ZERO, ZERO, ZERO, (), ZERO, ZERO, Decimal("12.50")),
    findings=(),
    cautions=(),
    provenance=Provenance("1", "a", "Invented", "b", "2026-11-25"),
)


def test_fifty_quotes_at_once_get_fifty_consecutive_numbers(store: Quotes) -> None:
    with ThreadPoolExecutor(50) as pool:
        made = list(pool.map(lambda _: store.issue(QUOTE, b"{}")[0], range(50)))
    assert sorted(each.number for each in made) == [f"Q-2026-{number:06d}" for number in range(1, 51)]
    assert len({each.id for each in made}) == 50
    assert [each.id for each in store.page(50)] == sorted((each.id for each in made), reverse=True)


def test_each_year_counts_on_its_own(store: Quotes) -> None:
    days = ("2026-12-31", "2027-01-01", "2026-12-31", "2027-01-01")
    numbers = [store.issue(replace(QUOTE, issued_on=day), b"{}")[0].number for day in days]
    assert numbers == ["Q-2026-000001", "Q-2027-000001", "Q-2026-000002", "Q-2027-000002"]


def test_a_number_whose_quote_could_not_be_stored_is_given_again(store: Quotes) -> None:
    store.issue(QUOTE, b"{}")
    with pytest.raises(IntegrityError):
        store.issue(replace(QUOTE, currency=None), b"{}")
    assert store.issue(QUOTE, b"{}")[0].number == "Q-2026-000002"


def test_what_was_answered_is_what_is_read(store: Quotes) -> None:
    stored, said = store.issue(QUOTE, b"{}")
    found = store.get(stored.id)
    assert found == stored
    assert found is not None
    assert found.body() == said
    assert store.get("01a21211-138e-7ff9-814a-1ce6de70983e") is None


def test_a_status_is_current_and_the_rest_stays(store: Quotes) -> None:
    stored, said = store.issue(QUOTE, b"{}")
    with store.engine().begin() as connection:
        connection.execute(text("UPDATE quotes SET status = 'accepted'"))
    found = store.get(stored.id)
    assert found is not None
    assert found.body() == said.replace(b'"issued"', b'"accepted"', 1)
    assert found.etag != stored.etag


def test_a_page_starts_after_its_cursor(store: Quotes) -> None:
    made = [store.issue(QUOTE, b"{}")[0].id for _ in range(5)]
    assert {each.id for each in store.page(10)} == set(made)
    newest = store.page(2)
    assert [each.id for each in newest] == sorted(made, reverse=True)[:2]
    assert [each.id for each in store.page(10, newest[-1].id)] == sorted(made, reverse=True)[2:]


def _issue_ten(url: str) -> list[str]:
    store = Quotes(url)
    try:
        return [store.issue(QUOTE, b"{}")[0].number for _ in range(10)]
    finally:
        store.close()


@pytest.mark.long
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
    stored, _ = store.issue(QUOTE, b"{}")
    migrate(store.engine())
    assert store.get(stored.id) == stored


def test_a_connection_in_use_while_the_store_is_closed_is_closed_when_it_is_given_back(store: Quotes) -> None:
    with store.reading() as connection:
        raw = connection.connection.dbapi_connection
        store.close()
    with pytest.raises(Exception, match="closed"):
        raw.execute("SELECT 1")
    assert store.page(1, None) == []  # the store opens anew
