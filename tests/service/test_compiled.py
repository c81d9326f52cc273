"""Statements past SQLAlchemy's own execution: the same rows, the same failures, on SQLite and on PostgreSQL."""

from __future__ import annotations

from contextlib import suppress

import pytest
from sqlalchemy import Column, Float, MetaData, String, Table, bindparam, select
from sqlalchemy.exc import DBAPIError, IntegrityError, MultipleResultsFound

from service.storage import Quotes, compiled
from service.storage.tables import answers, counters, quotes
from tests.service.test_storage import QUOTE

BY_ID = select(quotes.c.number, quotes.c.revision, quotes.c.document).where(quotes.c.id == bindparam("of"))
NUMBERS = select(quotes.c.number).where(quotes.c.revision == bindparam("revision"))
COUNT = counters.insert().values(series=bindparam("series"), last=bindparam("last"))
NOWHERE = Table("an_invented_table", MetaData(), Column("name", String))
WHO = "Asta Lindqvist"  # invented


def test_a_row_none_or_too_many(store: Quotes) -> None:
    made = [store.issue(QUOTE, b"{}")[0] for _ in range(2)]
    assert tuple(store.read_row(BY_ID, {"of": made[1].id}) or ()) == ("Q-2026-000002", 1, made[1].document)
    assert store.read_row(BY_ID, {"of": "of none"}) is None
    with pytest.raises(MultipleResultsFound):
        store.read_row(NUMBERS, {"revision": 1})


def test_a_writer_sees_what_it_wrote_and_others_see_it_once_it_is_committed(store: Quotes) -> None:
    with suppress(LookupError), store.writing() as connection:
        assert compiled.execute(connection, COUNT, {"series": "Q-2001", "last": 7}) == 1
        assert store.read_row(select(counters.c.last).where(counters.c.series == "Q-2001"), {}) == (7,)
        raise LookupError
    assert store.read_row(select(counters.c.last).where(counters.c.series == "Q-2001"), {}) is None


def test_failures_are_the_database_s_own_say_no_values_and_break_nothing(store: Quotes) -> None:
    nowhere = select(NOWHERE.c.name).where(NOWHERE.c.name == bindparam("name"))
    with pytest.raises(DBAPIError) as looked:
        store.read_row(nowhere, {"name": WHO})
    with pytest.raises(DBAPIError) as written, store.writing() as connection:
        compiled.fetch_row(connection, nowhere, {"name": WHO})
    assert WHO not in f"{looked.value} {written.value}"
    with pytest.raises(IntegrityError), store.writing() as connection:
        compiled.execute_many(connection, COUNT, [{"series": "Q-2001", "last": 1}] * 2)
    stored, _ = store.issue(QUOTE, b"{}")
    assert store.get(stored.id) == stored


def test_what_the_driver_would_hand_over_otherwise_is_refused(store: Quotes) -> None:
    floats = [column for column in answers.c if isinstance(column.type, Float)]
    assert floats
    with pytest.raises(TypeError, match="execute"):
        store.read_row(select(floats[0]), {})
    with pytest.raises(TypeError, match="execute"):
        store.read_row(select(quotes.c.id).where(quotes.c.number.in_(["Q-2026-000001", "Q-2026-000002"])), {})
