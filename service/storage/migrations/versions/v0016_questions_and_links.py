"""The links to a quote can be ended alone, and events have room for longer names."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Integer, String

revision = "0016"
down_revision = "0015"


def upgrade() -> None:
    """Add the column, and make two wider."""
    op.add_column(
        "quotes", Column("link_generation", Integer, nullable=False, server_default="0", comment="how often the links to it were ended")
    )
    for name, of, comment in (("events", "type", "such as quote.accepted"), ("webhook_messages", "event", None)):
        with op.batch_alter_table(name) as changed:
            changed.alter_column(of, type_=String(40), existing_type=String(20), existing_nullable=False, existing_comment=comment)
