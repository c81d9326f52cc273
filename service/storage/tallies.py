"""Counts of quotes by day of issue, status, last day and currency, which the shop's figures are read from. They are updated in the
transaction that changes an entry of the search index.

Many quotes share a row, and a transaction may change several rows. The changes are collected and written just before the commit, in the same
order by every transaction, so two transactions may wait for each other but never deadlock.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import Connection, bindparam
from sqlalchemy.dialects import postgresql, sqlite

from service.lifecycle.statuses import Status
from service.storage import compiled
from service.storage.tables import quote_counts

if TYPE_CHECKING:
    from service.storage.entries import Entry

MILLION = 1_000_000_000  # in thousandths, as amounts are kept


class Row(NamedTuple):
    """The key of a row. `valid_until` is empty unless the status is `issued`; `currency` is empty if the entry has none."""

    day: str
    status: str
    valid_until: str
    currency: str


class Sums(NamedTuple):
    """The sums in a row. Quotes that could not be priced add nothing to the amount."""

    quotes: int = 0
    millions: int = 0
    rest: int = 0
    ready_to_cut: int = 0
    confirm: int = 0
    hold: int = 0

    def plus(self, other: Sums, times: int = 1) -> Sums:
        """The sum of both; `times` -1 subtracts."""
        return Sums(*(mine + times * its for mine, its in zip(self, other, strict=True)))


Gathered = dict[Row, Sums]
_GATHERED = "tallies"


def begin(connection: Connection) -> None:
    """Start collecting changes for a new transaction."""
    connection.info[_GATHERED] = {}


def so_far(connection: Connection) -> Gathered:
    """The changes collected so far, for `back_to`."""
    return dict(connection.info[_GATHERED])


def back_to(connection: Connection, gathered: Gathered) -> None:
    """Discard the changes collected since, after a rollback to a savepoint."""
    connection.info[_GATHERED] = gathered


def changed(connection: Connection, day: str, before: Entry | None, after: Entry) -> None:
    """Collect the change from an entry's previous state (None if it is new) to its current one. `day`: the day of issue."""
    gathered: Gathered = connection.info[_GATHERED]
    for entry, times in ((before, -1), (after, 1)):
        if entry is not None:
            row, sums = counted(day, entry)
            gathered[row] = gathered.get(row, Sums()).plus(sums, times)


def counted(day: str, entry: Entry) -> tuple[Row, Sums]:
    """The row in which an entry is counted, and what it adds there."""
    issued = entry.status == Status.ISSUED
    row = Row(day, entry.status, entry.valid_until if issued else "", entry.currency or "")
    return row, Sums(1, *divmod(max(entry.amount, 0), MILLION), entry.ready_to_cut, entry.confirm, entry.hold)


def write(connection: Connection) -> None:
    """Write the collected changes; called just before the commit."""
    if rows := list(_changes(connection.info[_GATHERED])):
        compiled.execute_many(connection, _ADD[connection.dialect.name], rows)
        begin(connection)


def _changes(gathered: Gathered) -> Iterator[dict[str, str | int]]:
    for row, sums in sorted(gathered.items()):
        if any(sums):
            yield {**row._asdict(), **sums._asdict()}


def _adding(kind: type[postgresql.Insert | sqlite.Insert]) -> postgresql.Insert | sqlite.Insert:
    adding = kind(quote_counts).values({name: bindparam(name) for name in (*Row._fields, *Sums._fields)})
    sums = {name: quote_counts.c[name] + adding.excluded[name] for name in Sums._fields}
    return adding.on_conflict_do_update(index_elements=list(Row._fields), set_=sums)


_ADD = {"sqlite": _adding(sqlite.Insert), "postgresql": _adding(postgresql.Insert)}
