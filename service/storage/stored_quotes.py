"""Iterates over stored quotes, with everything they were made from, in order of creation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import select

from service.encoding import json
from service.encoding.gzip import unpack
from service.storage.database import Database
from service.storage.tables import quotes

_AT_ONCE = 100


class StoredIssue(NamedTuple):
    """One issue of a quote: its head, the request as received, the document as issued, and the versions of its tables."""

    id: str
    number: str
    revision: int
    status: str
    checksum: str
    catalogue_version: str
    price_version: str
    request: bytes
    document: dict[str, Any]


_COLUMNS = [quotes.c[name] for name in StoredIssue._fields]


def kept_quotes(database: Database, number: str | None = None) -> Iterator[StoredIssue]:
    """Every stored quote, or every issue of one number; read in pages, so that no connection is held for long."""
    last = ""
    while True:
        query = select(*_COLUMNS).where(quotes.c.id > last).order_by(quotes.c.id).limit(_AT_ONCE)
        if number is not None:
            query = query.where(quotes.c.number == number)
        with database.reading() as connection:
            rows = connection.execute(query).all()
        for row in rows:
            kept = StoredIssue(*row)
            yield kept._replace(request=unpack(row.request), document=json.read(unpack(row.document)))
        if len(rows) < _AT_ONCE:
            return
        last = rows[-1].id
