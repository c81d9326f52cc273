"""Quote numbers: consecutive within a year and without gaps, since the counter is updated in the transaction that stores the quote."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam
from sqlalchemy.dialects import postgresql, sqlite

from service.storage import compiled
from service.storage.tables import counters

_START = {"series": bindparam("series"), "last": 1}
_STEP = {"last": counters.c.last + 1}
_KEY = [counters.c.series]
_NEXT = {
    "sqlite": sqlite.insert(counters).values(_START).on_conflict_do_update(index_elements=_KEY, set_=_STEP).returning(counters.c.last),
    "postgresql": postgresql.insert(counters)
    .values(_START)
    .on_conflict_do_update(index_elements=_KEY, set_=_STEP)
    .returning(counters.c.last),
}


def next_tag(connection: Connection) -> str:
    """The next tag for a remnant on the shelf, `R-000042`; a failed transaction returns it."""
    count = connection.execute(_NEXT[connection.dialect.name], {"series": "R"}).scalar_one()
    return f"R-{count:06d}"


def next_generation(connection: Connection) -> int:
    """The next key generation."""
    found: int = connection.execute(_NEXT[connection.dialect.name], {"series": "keys"}).scalar_one()
    return found


def next_number(connection: Connection, year: int) -> str:
    """The year's next number, `Q-2026-000042`; a failed transaction returns it."""
    series = f"Q-{year}"
    found = compiled.fetch_row(connection, _NEXT[connection.dialect.name], {"series": series})
    assert found is not None  # noqa: S101  # an upsert gives its row
    return f"{series}-{found[0]:06d}"
