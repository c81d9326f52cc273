"""Reads a shop's figures from aggregate tables: counts of quotes by day, plans that were taken, and the quotes cut by those plans.

The aggregates are updated with every change (`tallies.py`, `waste.py`). 100,000 quotes in three years make about ten thousand rows, and no
quote document has to be read.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

from sqlalchemy import text

from service.storage.database import Database
from service.storage.entries import CODE, first_place
from service.storage.tallies import MILLION
from service.storage.waste import STOCK_USES


class Count(NamedTuple):
    """Quotes issued in one month with one status and currency. `month` as 2026-11; `amount` in thousandths."""

    month: str
    status: str
    currency: str | None
    quotes: int
    amount: int
    ready_to_cut: int
    confirm: int
    hold: int


class Waste(NamedTuple):
    """What became of the stock of the plans that were taken (`went`), and the waste that their quotes charge (`priced`), in thousandths of a mm.
    `taken` also counts plans that could not be read; `counted` does not.
    """

    taken: int
    counted: int
    went: dict[str, int]
    quotes: int
    priced: int


class Figures:
    """The figures in one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def counts(self, first: date, last: date, today: date) -> list[Count]:
        """The quotes issued in a period, counted by month, status as of today, and currency."""
        given = {"first": first.isoformat(), "last": last.isoformat(), "today": today.isoformat()}
        with self._database.reading() as connection:
            rows = connection.execute(_BY_MONTH, given).all()
        return [
            Count(month, status, currency or None, int(many), int(millions) * MILLION + int(rest), *map(int, pieces))
            for month, status, currency, many, millions, rest, *pieces in rows
        ]

    def ask_counts(self, first: date, last: date) -> dict[str, int]:
        """For each finding code, the number of quotes issued in the period that had such a finding to settle, settled since or not."""
        given = {"low": first_place(first.isoformat()), "high": first_place(_after(last))}
        with self._database.reading() as connection:
            return {term.removeprefix(CODE): many for term, many in connection.execute(_ASKED, given)}

    def waste(self, first: date, last: date) -> Waste:
        """The waste of the plans taken in a period (days in UTC) and not reversed."""
        given = {"first": first.isoformat(), "last": last.isoformat()}
        with self._database.reading() as connection:
            taken, counted, *went = map(int, connection.execute(_TAKEN, given).one())
            quotes, priced = map(int, connection.execute(_PRICED, given).one())
        return Waste(taken, counted, dict(zip(STOCK_USES, went, strict=True)), quotes, priced)


def _after(day: date) -> str:
    return (day + timedelta(1)).isoformat() if day < date.max else day.isoformat()


_BY_MONTH = text(
    "SELECT substr(day, 1, 7), CASE WHEN valid_until < :today AND status = 'issued' THEN 'expired' ELSE status END, currency, sum(quotes), sum(millions),"
    " sum(rest), sum(ready_to_cut), sum(confirm), sum(hold) FROM quote_counts WHERE day >= :first AND day <= :last GROUP BY 1, 2, 3 HAVING sum(quotes) > 0"
)
_ASKED = text(
    "SELECT term, count(*) FROM quote_terms WHERE term >= 'code:' AND term < 'code;' AND place >= :low AND place < :high GROUP BY term"
)
_TAKEN = text(
    f"SELECT count(*), count(pieces), {', '.join(f'coalesce(sum({name}), 0)' for name in STOCK_USES)} FROM taken_plans WHERE day >= :first AND day <= :last"  # noqa: S608  # only constant column names are formatted in
)
_PRICED = text(
    "SELECT count(*), coalesce(sum(priced), 0) FROM"
    " (SELECT DISTINCT quote_id, priced FROM cut_quotes WHERE day >= :first AND day <= :last AND priced IS NOT NULL) AS cut"
)
