"""Quotes are found of which a finished piece failed its last check; those stored before are marked by their records."""

from __future__ import annotations

import gzip
import zlib
from typing import Any

import orjson
from alembic import op
from sqlalchemy import Column, Integer, LargeBinary, column, select, table

revision = "0021"
down_revision = "0020"
AT_ONCE = 200
ENTRIES = table("quote_entries", *(column(name) for name in ("place", "quote_id", "status", "failed")))
TERMS = table("quote_terms", column("term"), column("place"))
RECORDS = table("as_built", column("id"), column("quote_id"), column("document", LargeBinary))


def upgrade() -> None:
    """Add the mark, and set it where a record says so, a few quotes at a time."""
    op.add_column(
        "quote_entries",
        Column("failed", Integer, nullable=False, server_default="0", comment="1 where a finished piece failed its last check"),
    )
    connection, last = op.get_bind(), ""
    of_quotes = select(RECORDS.c.quote_id).distinct().order_by(RECORDS.c.quote_id).limit(AT_ONCE)
    while ids := connection.execute(of_quotes.where(RECORDS.c.quote_id > last)).scalars().all():
        for each in ids:
            documents = connection.execute(select(RECORDS.c.document).where(RECORDS.c.quote_id == each).order_by(RECORDS.c.id)).scalars()
            if _failed([_read(document) for document in documents]):
                _mark(connection, each)
        last = ids[-1]


def _mark(connection: Any, quote_id: str) -> None:
    connection.execute(ENTRIES.update().where(ENTRIES.c.quote_id == quote_id).values(failed=1))
    for row in connection.execute(select(ENTRIES.c.place, ENTRIES.c.status).where(ENTRIES.c.quote_id == quote_id)).all():
        if row.status in ("accepted", "in_work"):
            connection.execute(TERMS.insert().values(term="failed:work", place=row.place))


def _failed(records: list[dict[str, Any]]) -> bool:
    last = {(each.get("tag"), each.get("piece")): each.get("verdict") for record in records for each in record.get("assemblies") or ()}
    return "fail" in last.values()


def _read(content: bytes) -> dict[str, Any]:
    """A record, packed or not; empty where it cannot be read."""
    try:
        plain = bytes(content)
        found = orjson.loads(plain if plain.startswith(b"{") else gzip.decompress(plain))
    except (OSError, EOFError, zlib.error, ValueError):
        return {}
    return found if isinstance(found, dict) else {}
