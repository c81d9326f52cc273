"""How many quotes stand how, by day of issue: kept with every change of an entry, in the transaction that makes it, so that figures read rows of days.

Many quotes share a row, and a transaction may change several. What changes is gathered, and written as the last thing before the commit, in one order
for all: two transactions wait for each other there, and never each for the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from sqlalchemy import Connection, bindparam
from sqlalchemy.dialects import postgresql, sqlite

from service.lifecycle.statuses import Status
from service.storage import ready
from service.storage.tables import quote_counts

if TYPE_CHECKING:
    from service.storage.entries import Entry

MILLION = 1_000_000_000  # in thousandths, as amounts are kept


class Row(NamedTuple):
    """What a row counts together. `valid_until` of those issued, else nothing; `currency` is nothing where none was noted."""

    day: str
    status: str
    valid_until: str
    currency: str


class Sums(NamedTuple):
    """What is counted of quotes. What could not be priced is no amount."""

    quotes: int = 0
    millions: int = 0
    rest: int = 0
    ready_to_cut: int = 0
    confirm: int = 0
    hold: int = 0

    def plus(self, other: Sums, times: int = 1) -> Sums:
        """Both together."""
        return Sums(*(mine + times * its for mine, its in zip(self, other, strict=True)))


Gathered = dict[Row, Sums]
_GATHERED = "tallies"


def begin(connection: Connection) -> None:
    """Nothing is gathered yet."""
    connection.info[_GATHERED] = {}


def so_far(connection: Connection) -> Gathered:
    """What is gathered up to now."""
    return dict(connection.info[_GATHERED])


def back_to(connection: Connection, gathered: Gathered) -> None:
    """Forget what was gathered since: it is undone."""
    connection.info[_GATHERED] = gathered


def changed(connection: Connection, day: str, before: Entry | None, after: Entry) -> None:
    """An entry of a day of issue is new, or another than before."""
    gathered: Gathered = connection.info[_GATHERED]
    for entry, times in ((before, -1), (after, 1)):
        if entry is not None:
            row, sums = counted(day, entry)
            gathered[row] = gathered.get(row, Sums()).plus(sums, times)


def counted(day: str, entry: Entry) -> tuple[Row, Sums]:
    """Where an entry is counted, and as what."""
    issued = entry.status == Status.ISSUED
    row = Row(day, entry.status, entry.valid_until if issued else "", entry.currency or "")
    return row, Sums(1, *divmod(max(entry.amount, 0), MILLION), entry.ready_to_cut, entry.confirm, entry.hold)


def write(connection: Connection) -> None:
    """Write what is gathered, before the commit."""
    if rows := list(_changes(connection.info[_GATHERED])):
        ready.each(connection, _ADD[connection.dialect.name], rows)
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
