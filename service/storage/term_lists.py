"""The statements by which places are found: stretches of the lists of terms, and of the order of all entries."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from sqlalchemy import BindParameter, TextClause, bindparam, func, select, text

from service.storage.sought import Spans
from service.storage.tables import quote_entries as entries

#: Places, written into the statement: numbers of ours, and many.
THESE: BindParameter[Any] = bindparam("these", expanding=True, literal_execute=True)
_DAYS = (entries.c.place >= bindparam("least"), entries.c.place < bindparam("past"))
ALL = select(entries.c.place).where(*_DAYS).order_by(entries.c.place.desc()).limit(bindparam("most"))
COUNT_DAYS = select(func.count()).select_from(select(entries.c.place).where(*_DAYS).limit(bindparam("most")).subquery())
# the next term is the least that is greater, so that each costs one look-up, however many rows it has
TERMS = text(
    "WITH RECURSIVE found(term) AS (SELECT min(term) FROM quote_terms WHERE term >= :low AND term < :high"
    " UNION ALL SELECT (SELECT min(term) FROM quote_terms WHERE term > found.term AND term < :high) FROM found WHERE found.term IS NOT NULL)"
    " SELECT term FROM found WHERE term IS NOT NULL LIMIT :most"
)


def named(spans: Spans) -> dict[str, str]:
    """The spans as parameters of the statements below."""
    return {f"{name}{place}": value for place, each in enumerate(spans) for name, value in each._asdict().items()}


def _stretched(count: int) -> str:
    return " UNION ALL ".join(f"SELECT place FROM quote_terms WHERE term >= :low{n} AND term < :high{n}" for n in range(count))  # noqa: S608


@lru_cache(maxsize=32)
def counting(count: int) -> TextClause:
    """How many rows so many spans have, up to `most`."""
    return text(f"SELECT count(*) FROM ({_stretched(count)} LIMIT :most) AS counted")  # noqa: S608  # numbers of ours


@lru_cache(maxsize=32)
def gathering(count: int) -> TextClause:
    """The places that so many spans have, up to `most`."""
    return text(f"{_stretched(count)} LIMIT :most")


@lru_cache(maxsize=64)
def walking(count: int) -> TextClause:
    """The newest places of so many terms. Lists in one order are merged by either database as they are read, no further than is asked; the
    order of each has to be named for PostgreSQL, which sorts them all otherwise.
    """
    one = "SELECT place FROM (SELECT place FROM quote_terms WHERE term = :term{n} AND place >= :least AND place < :past ORDER BY place DESC) AS list{n}"
    return text(f"{' UNION ALL '.join(one.format(n=n) for n in range(count))} ORDER BY place DESC LIMIT :most")
