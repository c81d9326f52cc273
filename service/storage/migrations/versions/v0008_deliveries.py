"""Deliveries to webhooks: who holds a message, what it is about, the secret being replaced, and why an endpoint ended."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Float, LargeBinary, String, Text

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    """Add the columns and indexes."""
    for column in (
        Column("previous", LargeBinary, comment="the secret before, signed with besides"),
        Column("previous_until", Float, comment="seconds since 1970: until then"),
        Column("why", Text, comment="why nothing is sent there any more"),
    ):
        op.add_column("webhook_endpoints", column)
    for column in (
        Column("holder", String(32), comment="who is delivering it"),
        Column("until", Float, comment="seconds since 1970: then whoever is delivering it has lost it"),
        Column("ended", Float, comment="seconds since 1970: delivered or given up"),
    ):
        op.add_column("webhook_messages", column)
    with op.batch_alter_table("chores") as changed:
        changed.alter_column("reached", type_=String(80), existing_type=String(40), existing_nullable=False)
    op.create_index("webhook_messages_endpoint", "webhook_messages", ["endpoint_id", "state", "due"])
    op.create_index("quotes_valid_until", "quotes", ["valid_until", "id"])
