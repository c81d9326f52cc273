"""Cutting plans, both those of quotes and separate ones."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, ForeignKey, LargeBinary, String, inspect

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Create the table, unless a release without numbered schemas already did."""
    if inspect(op.get_bind()).has_table("cutting_plans"):
        return
    op.create_table(
        "cutting_plans",
        Column("id", String(36), primary_key=True, comment="UUID version 7"),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column(
            "quote_id",
            String(36),
            ForeignKey("quotes.id"),
            unique=True,
            comment="the quote it was issued with; empty for a plan of its own",
        ),
        Column("document", LargeBinary, nullable=False, comment="gzip of the plan with its real cost, as it was said"),
    )
