"""What a shop's figures are counted from: entries and terms of quotes by their day of issue, and movements of the shelf by their day.

No document of a quote is read for the counts: 100,000 quotes take the database some tenths of a second.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

from sqlalchemy import TextClause, bindparam, select, text

from service.storage.database import Database
from service.storage.entries import CODE, MONEY, first_place
from service.storage.shelves import TAKE
from service.storage.tables import movements

MOST_CURRENCIES = 8


class Count(NamedTuple):
    """Quotes issued on one day with one status and currency. `day` counts from 2000-01-01; `amount` in thousandths, of those that are `priced`."""

    day: int
    status: str
    currency: str | None
    quotes: int
    priced: int
    amount: int
    ready_to_cut: int
    confirm: int
    hold: int


class Figures:
    """The counts of one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def counts(self, first: date, last: date, today: date) -> list[Count]:
        """The quotes issued from one day to another, by day, status as it is today, and currency."""
        given = {"low": first_place(first.isoformat()), "high": first_place(_after(last)), "today": today.isoformat()}
        with self._database.reading() as connection:
            currencies = list(connection.execute(_CURRENCIES).scalars())[:MOST_CURRENCIES]
            named = {f"c{place}": term for place, term in enumerate(currencies)}
            return [Count._make(map(_whole, row)) for row in connection.execute(_counts(len(named)), {**given, **named})]

    def asked(self, first: date, last: date) -> dict[str, int]:
        """In how many of them each code asks something, settled or not."""
        given = {"low": first_place(first.isoformat()), "high": first_place(_after(last))}
        with self._database.reading() as connection:
            return {term.removeprefix(CODE): many for term, many in connection.execute(_ASKED, given)}

    def taken(self, first: date, last: date) -> list[str]:
        """The ids of the plans taken in those days of UTC and not put back, the newest first."""
        with self._database.reading() as connection:
            return list(connection.execute(_PLANS, {"low": first.isoformat(), "high": _after(last)}).scalars())


def _after(day: date) -> str:
    return (day + timedelta(1)).isoformat() if day < date.max else day.isoformat()


def _whole(value: object) -> object:
    return value if value is None or isinstance(value, str) else int(value)  # type: ignore[call-overload]  # a database's number


def _counts(currencies: int) -> TextClause:
    """A term leads to a place by its whole name alone, so there is a join for each currency: as a rule, one."""
    names = [f"t{each}" for each in range(currencies)]
    joins = "".join(f" LEFT JOIN quote_terms AS t{n} ON t{n}.term = :c{n} AND t{n}.place = e.place" for n in range(currencies))
    currency = f"substr(coalesce({', '.join(f'{name}.term' for name in names)}, NULL), {len(MONEY) + 1})" if names else "NULL"
    return text(_BY_DAY.format(currency=currency, joins=joins))


_BY_DAY = (
    "SELECT e.place >> 47, CASE WHEN e.status = 'issued' AND e.valid_until < :today THEN 'expired' ELSE e.status END,"
    " {currency}, count(*), sum(CASE WHEN e.amount >= 0 THEN 1 ELSE 0 END), sum(CASE WHEN e.amount >= 0 THEN e.amount ELSE 0 END),"
    " sum(e.ready_to_cut), sum(e.confirm), sum(e.hold) FROM quote_entries AS e{joins} WHERE e.place >= :low AND e.place < :high GROUP BY 1, 2, 3"
)
_CURRENCIES = text("SELECT DISTINCT term FROM quote_terms WHERE term >= 'money:' AND term < 'money;' ORDER BY term")
_ASKED = text(
    "SELECT term, count(*) FROM quote_terms WHERE term >= 'code:' AND term < 'code;' AND place >= :low AND place < :high GROUP BY term"
)
_PLANS = (
    select(movements.c.plan_id)
    .where(movements.c.type == TAKE, movements.c.reversed == 0, movements.c.plan_id.is_not(None))
    .where(movements.c.occurred_at >= bindparam("low"), movements.c.occurred_at < bindparam("high"))
    .order_by(movements.c.id.desc())
)
