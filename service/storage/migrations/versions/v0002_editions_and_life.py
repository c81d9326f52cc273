"""The catalogue editions that quotes were made with, and what happened to a quote after its issue."""

from __future__ import annotations

from alembic import op
from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, LargeBinary, String, Text

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Create the tables of editions, events and finished assemblies."""
    op.create_table(
        "editions",
        Column("catalogue_version", String(80), primary_key=True),
        Column("price_version", String(80), primary_key=True),
        Column("stored", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("content", LargeBinary, nullable=False, comment="gzip of a JSON object, file name to text"),
    )
    op.create_table(
        "in_force",
        Column("place", Integer, CheckConstraint("place = 1"), primary_key=True, autoincrement=False, comment="there is one row"),
        Column("catalogue_version", String(80), nullable=False),
        Column("price_version", String(80), nullable=False),
        Column("since", String(32), nullable=False, comment="RFC 3339, UTC"),
    )
    op.create_table(
        "events",
        Column("quote_id", String(36), ForeignKey("quotes.id"), primary_key=True),
        Column("sequence", Integer, primary_key=True, autoincrement=False, comment="from 1 within a quote; its issue is not among them"),
        Column("at", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("what", String(20), nullable=False),
        Column("who", String(120), comment="as said; empty where nobody was named"),
        Column("note", Text),
    )
    op.create_table(
        "as_built",
        Column("id", String(36), primary_key=True, comment="UUID version 7"),
        Column("quote_id", String(36), ForeignKey("quotes.id"), nullable=False),
        Column("document", LargeBinary, nullable=False, comment="gzip of the record as answered"),
    )
    op.create_index("as_built_quote", "as_built", ["quote_id", "id"])
