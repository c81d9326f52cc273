"""Numbers of quotes: consecutive within a year, without a gap, since the counter moves in the transaction that stores the quote."""

from __future__ import annotations

from sqlalchemy import Connection
from sqlalchemy.dialects import postgresql, sqlite

from service.storage.tables import counters


def next_number(connection: Connection, year: int) -> str:
    """The next number of that year, `Q-2026-000042`; a transaction that fails gives it back."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    series = f"Q-{year}"
    statement = insert(counters).values(series=series, last=1)
    statement = statement.on_conflict_do_update(index_elements=[counters.c.series], set_={"last": counters.c.last + 1})
    count = connection.execute(statement.returning(counters.c.last)).scalar_one()
    return f"{series}-{count:06d}"
