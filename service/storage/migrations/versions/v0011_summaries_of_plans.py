"""A cutting plan's list entry in a column of its own, so that listing plans does not read them whole."""

from __future__ import annotations

import gzip
import json
import zlib

from alembic import op
from sqlalchemy import Column, LargeBinary, column, select, table

revision = "0011"
down_revision = "0010"
SAID = ("title", "day", "planned_on", "currency", "cost", "proven")
PLANS = table("cutting_plans", column("id"), column("document", LargeBinary), column("summary", LargeBinary))
AT_ONCE = 100


def upgrade() -> None:
    """Add the column, and fill it from each plan, a few at a time."""
    op.add_column(
        "cutting_plans",
        Column("summary", LargeBinary, comment="gzip of what a list says of it; empty where a migration could not read the plan"),
    )
    connection, last = op.get_bind(), ""
    while rows := connection.execute(
        select(PLANS.c.id, PLANS.c.document).where(PLANS.c.id > last).order_by(PLANS.c.id).limit(AT_ONCE)
    ).all():
        for plan_id, document in rows:
            if summary := _summary(bytes(document)):
                connection.execute(PLANS.update().where(PLANS.c.id == plan_id).values(summary=summary))
        last = rows[-1].id


def _summary(document: bytes) -> bytes | None:
    try:
        plan = json.loads(gzip.decompress(document))
        said = {name: plan[name] for name in SAID}
    except (OSError, EOFError, zlib.error, ValueError, KeyError, TypeError):
        return None
    return gzip.compress(json.dumps(said, ensure_ascii=False, separators=(",", ":")).encode(), 1, mtime=0)
