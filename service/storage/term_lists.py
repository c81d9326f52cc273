"""SQL statements that read places of entries: from the lists of terms, or from all entries in order."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from sqlalchemy import BindParameter, TextClause, bindparam, func, select, text

from service.storage.quote_filters import Spans
from service.storage.tables import quote_entries as entries

#: Places as literals in the statement: there are many, and they are integers computed here.
THESE: BindParameter[Any] = bindparam("these", expanding=True, literal_execute=True)
_DAYS = (entries.c.place >= bindparam("least"), entries.c.place < bindparam("past"))
ALL = select(entries.c.place).where(*_DAYS).order_by(entries.c.place.desc()).limit(bindparam("most"))
COUNT_DAYS = select(func.count()).select_from(select(entries.c.place).where(*_DAYS).limit(bindparam("most")).subquery())
# the next term is the smallest greater one, so that each term costs one index look-up, however many rows it has
TERMS = text(
    "WITH RECURSIVE found(term) AS (SELECT min(term) FROM quote_terms WHERE term >= :low AND term < :high"
    " UNION ALL SELECT (SELECT min(term) FROM quote_terms WHERE term > found.term AND term < :high) FROM found WHERE found.term IS NOT NULL)"
    " SELECT term FROM found WHERE term IS NOT NULL LIMIT :most"
)


def named(spans: Spans) -> dict[str, str]:
    """The spans as bind parameters of the statements below."""
    return {f"{name}{place}": value for place, each in enumerate(spans) for name, value in each._asdict().items()}


def _stretched(count: int) -> str:
    return " UNION ALL ".join(f"SELECT place FROM quote_terms WHERE term >= :low{n} AND term < :high{n}" for n in range(count))  # noqa: S608


@lru_cache(maxsize=32)
def counting(count: int) -> TextClause:
    """A statement that counts the rows in `count` spans, up to `most`."""
    return text(f"SELECT count(*) FROM ({_stretched(count)} LIMIT :most) AS counted")  # noqa: S608  # only a number is formatted in


@lru_cache(maxsize=32)
def gathering(count: int) -> TextClause:
    """A statement that returns the places in `count` spans, up to `most`."""
    return text(f"{_stretched(count)} LIMIT :most")


@lru_cache(maxsize=64)
def walking(count: int) -> TextClause:
    """A statement that returns the newest places of `count` terms. Both databases merge sorted lists lazily, no further than the limit; for
    PostgreSQL each list needs its own ORDER BY, or it would sort all rows.
    """
    one = "SELECT place FROM (SELECT place FROM quote_terms WHERE term = :term{n} AND place >= :least AND place < :past ORDER BY place DESC) AS list{n}"
    return text(f"{' UNION ALL '.join(one.format(n=n) for n in range(count))} ORDER BY place DESC LIMIT :most")
