"""What becomes of a quote after it is issued has a place beside its status, and events have the name of the key they were done with.

For quotes stored before, it is their readiness as issued, and who accepted them.
"""

from __future__ import annotations

import gzip
import json
import zlib
from typing import Any

from alembic import op
from sqlalchemy import Column, Integer, LargeBinary, String, Text, column, select, table

revision = "0015"
down_revision = "0014"
QUOTES = table("quotes", column("id"), column("document", LargeBinary), column("standing", LargeBinary))
EVENTS = table("events", column("quote_id"), column("occurred_at"), column("type"), column("by"))
AT_ONCE = 100


def upgrade() -> None:
    """Add the columns, and fill them from each document, a few at a time."""
    empty = "JSON of what became of it since; empty where a migration could not read the document"
    op.add_column("quotes", Column("standing", LargeBinary, comment=empty))
    op.add_column("quotes", Column("standing_version", Integer, nullable=False, server_default="0", comment="how often that changed"))
    for name, what in (("quotes", "that issued it"), ("events", "it was done with")):
        op.add_column(name, Column("key", String(80), comment=f"name of the key {what}; empty where it was not by a key"))
    op.add_column("webhook_endpoints", Column("event_types", Text, nullable=False, server_default="", comment="with spaces between them"))
    op.execute("UPDATE webhook_endpoints SET event_types = events")
    op.drop_column("webhook_endpoints", "events")  # 200 characters do not hold the types that there are now
    op.execute(EVENTS.update().where(EVENTS.c.type == "quote.built").values(type="quote.as_built"))
    connection, last = op.get_bind(), ""
    query = select(QUOTES.c.id, QUOTES.c.document).order_by(QUOTES.c.id).limit(AT_ONCE)
    while rows := connection.execute(query.where(QUOTES.c.id > last)).all():
        for quote_id, document in rows:
            accepted = connection.execute(
                select(EVENTS.c.by, EVENTS.c.occurred_at).where(EVENTS.c.quote_id == quote_id, EVENTS.c.type == "quote.accepted")
            ).first()
            if standing := _standing(bytes(document), accepted):
                connection.execute(QUOTES.update().where(QUOTES.c.id == quote_id).values(standing=standing))
        last = rows[-1].id


def _standing(document: bytes, accepted: Any) -> bytes | None:
    try:
        assemblies = json.loads(gzip.decompress(document))["assemblies"]
        readiness = {each["tag"]: each["readiness"] for each in assemblies}
    except (OSError, EOFError, zlib.error, ValueError, KeyError, TypeError):
        return None
    by = (
        None
        if accepted is None or accepted.by is None
        else {"by": accepted.by, "at": accepted.occurred_at, "open": None, "understood": None}
    )
    said: dict[str, Any] = {"settlements": [], "current_readiness": readiness, "pieces_cut": {}, "accepted": by}
    return json.dumps(said, ensure_ascii=False, separators=(",", ":")).encode()
