"""Leases that compare no clocks: the holder of a chunk or message and its number of renewals replace the time at which the lease expires.

Whatever is held during this migration has no such mark: it is freed once it has been seen unchanged for a whole lease.
"""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Integer, String, text

revision = "0010"
down_revision = "0009"
TABLES = ("batch_chunks", "webhook_messages")


def upgrade() -> None:
    """Change the columns, and add an index to find what is held."""
    for table in TABLES:
        op.add_column(table, Column("process", String(120), comment="the process that does; empty where it cannot be told"))
        op.drop_column(table, "until")
    op.add_column("batch_chunks", Column("renewals", Integer, comment="how often it was said since that it is still worked on"))
    held = text("holder IS NOT NULL")
    op.create_index("webhook_messages_held", "webhook_messages", ["holder"], postgresql_where=held, sqlite_where=held)
