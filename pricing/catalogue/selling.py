"""What is sold on a day. An article is sold up to and including the day `until` of its row; then it is not offered, but known.

The catalogue of a day is made once for all days between two last days, and remembered. On days before any of them it is the catalogue
itself, so that tables without last days cost nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any

from pricing.catalogue.indexing import index_of
from pricing.catalogue.lookup import Article, Catalogue
from pricing.catalogue.tables import TABLES
from pricing.rows import Labour

REMEMBERED = 8
ENDING = tuple(table.kind for table in TABLES if table.ends)


def sold_on(catalogue: Catalogue, day: date) -> Catalogue:
    """The catalogue without the articles whose last day is before this one."""
    whole = catalogue.with_discontinued
    ended = bisect_left(whole.index.last_days, day)
    return _without(whole, whole.index.last_days[ended - 1]) if ended else whole


def last_day(article: Article | None) -> date | None:
    """The last day on which an article is sold; None if none is known, and for work."""
    return None if article is None or isinstance(article, Labour) else article.until


@lru_cache(maxsize=REMEMBERED)
def _without(whole: Catalogue, last: date) -> Catalogue:
    """Without all that is sold until this day or one before it."""

    def left(row: Any) -> bool:
        return row.until is None or row.until > last

    tables = replace(whole.tables, **{kind: tuple(filter(left, getattr(whole.tables, kind))) for kind in ENDING})
    index = index_of(tables)
    listing = {
        kind: tuple(row for row in rows if row["sku"] in index.article) if kind in ENDING else rows for kind, rows in whole.listing.items()
    }
    return replace(whole, tables=tables, index=index, listing=listing, of=whole)
