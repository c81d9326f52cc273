"""The articles sold on a day. An article is sold up to and including its row's day `until`; after that it is still known, but not offered.

The catalogue of a day is built once for all days between two last days, and cached. Before the first last day it is the full catalogue
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

CACHE_SIZE = 8
ENDING = tuple(table.kind for table in TABLES if table.ends)


def sold_on(catalogue: Catalogue, day: date) -> Catalogue:
    """The catalogue without the articles whose last day is before this one."""
    full = catalogue.with_discontinued
    ended = bisect_left(full.index.last_days, day)
    return _without(full, full.index.last_days[ended - 1]) if ended else full


def last_day(article: Article | None) -> date | None:
    """An article's last day of sale; None if it has none, and for labour."""
    return None if article is None or isinstance(article, Labour) else article.until


@lru_cache(maxsize=CACHE_SIZE)
def _without(full: Catalogue, last: date) -> Catalogue:
    """The catalogue without articles whose last day is `last` or earlier."""

    def still_sold(row: Any) -> bool:
        return row.until is None or row.until > last

    tables = replace(full.tables, **{kind: tuple(filter(still_sold, getattr(full.tables, kind))) for kind in ENDING})
    index = index_of(tables)
    listing = {
        kind: tuple(row for row in rows if row["sku"] in index.article) if kind in ENDING else rows for kind, rows in full.listing.items()
    }
    return replace(full, tables=tables, index=index, listing=listing, full=full)
