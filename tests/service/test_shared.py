"""Transactions that threads share: one commit for all that wait, what fails is undone alone, and nobody is told before the commit."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from typing import Any

import pytest
from msgspec.structs import replace
from sqlalchemy import Connection, event, text
from sqlalchemy.exc import IntegrityError, OperationalError

from pricing.model import Boat, Customer
from service.storage import Quotes
from service.storage.numbers import next_number
from service.storage.shared_transactions import SharedTransactions
from tests.service.test_line import LONG, wait_until
from tests.service.test_migrations import checksum_of
from tests.service.test_storage import QUOTE


def commits_of(store: Quotes) -> list[Any]:
    seen: list[Any] = []
    event.listen(store.engine(), "commit", seen.append)
    return seen


@contextmanager
def asking(store: Quotes, works: list[Callable[[], Any]]) -> Iterator[list[Future[Any]]]:
    """Each in a thread of its own, while another thread of the process writes; all of them wait when the block begins."""
    with ThreadPoolExecutor(len(works)) as pool:
        with store.numbering():
            asked = []
            for place, work in enumerate(works):
                asked.append(pool.submit(work))
                wait_until(lambda so_far=place + 1: len(store._shared) == so_far)
            seen = commits_of(store)
        yield asked
        for each in asked:
            each.exception(LONG)
    assert len(seen) == 2  # that of the block, and one for all who waited


def test_the_checksum_is_of_the_quote_with_its_id_and_number_whatever_people_wrote(store: Quotes) -> None:
    """Of the members in the order of their names, without status and checksum and what becomes of the quote (RFC 8785, openapi.yaml)."""
    who = Customer('"number":"Q-2026-000001"', "", None)
    stored, said = store.issue(replace(QUOTE, customer=who, boat=Boat('"id":"', "\\")), b"{}")
    assert checksum_of(json.loads(said)) == stored.checksum


def failing(connection: Connection) -> str:
    next_number(connection, 2026)
    raise LookupError("an invented failure")


def test_who_waits_is_stored_in_the_order_of_coming_with_one_commit(store: Quotes) -> None:
    with asking(store, [lambda: store.issue(QUOTE, b"{}")[0]] * 4) as asked:
        made = [each.result(LONG) for each in asked]
    assert [each.number for each in made] == [f"Q-2026-{number:06d}" for number in range(1, 5)]
    for each in made:
        assert store.get(each.id) == each


def test_what_fails_is_undone_alone_and_leaves_no_gap(store: Quotes) -> None:
    works = [lambda: store.issue(QUOTE, b"{}")[0], lambda: store._shared.store(failing), lambda: store.issue(QUOTE, b"{}")[0]]
    with asking(store, works) as asked:
        assert asked[0].result(LONG).number == "Q-2026-000001"
        with pytest.raises(LookupError, match="an invented failure"):
            asked[1].result(LONG)
        assert asked[2].result(LONG).number == "Q-2026-000002"


def test_who_fails_alone_is_undone_and_the_next_goes_on(store: Quotes) -> None:
    with pytest.raises(LookupError):
        store._shared.store(failing)
    assert store.issue(QUOTE, b"{}")[0].number == "Q-2026-000001"


def test_where_the_commit_fails_nothing_is_stored_and_all_are_told(store: Quotes) -> None:
    @contextmanager
    def breaking() -> Iterator[Connection]:
        with store.numbering() as connection:
            wait_until(lambda: len(shared) == 3)
            yield connection
            raise OperationalError("COMMIT", None, Exception("an invented failure"))

    shared = SharedTransactions(breaking)
    with ThreadPoolExecutor(3) as pool:
        asked = [pool.submit(shared.store, lambda connection: next_number(connection, 2026)) for _ in range(3)]
        for each in asked:
            with pytest.raises(OperationalError, match="an invented failure"):
                each.result(LONG)
    assert not len(shared)
    with store.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM counters")).scalar_one() == 0


def test_what_belongs_to_a_transaction_of_the_thread_is_stored_with_it(store: Quotes) -> None:
    made = []
    with suppress(LookupError), store.together():
        made.append(store.issue(QUOTE, b"{}")[0])
        made.append(store.get(made[0].id))
        raise LookupError
    assert made[0] == made[1]  # seen within, and by nobody after
    assert store.get(made[0].id) is None


def test_what_the_database_refuses_is_undone_alone(store: Quotes) -> None:
    """A constraint fails within the group: PostgreSQL would refuse everything after it, if the savepoint did not stand before it."""
    first, _ = store.issue(QUOTE, b"{}")

    def again(connection: Connection) -> str:
        connection.execute(text("UPDATE quotes SET number = 'Q-2026-999999' WHERE id = :id"), {"id": first.id})
        connection.execute(text("INSERT INTO quotes SELECT * FROM quotes WHERE id = :id"), {"id": first.id})
        return "stored twice"

    with asking(
        store, [lambda: store.issue(QUOTE, b"{}")[0], lambda: store._shared.store(again), lambda: store.issue(QUOTE, b"{}")[0]]
    ) as asked:
        assert asked[0].result(LONG).number == "Q-2026-000002"
        with pytest.raises(IntegrityError):
            asked[1].result(LONG)
        assert asked[2].result(LONG).number == "Q-2026-000003"
    assert store.get(first.id) == first
