"""Numbered quotes: the schema that the first release created without numbering it."""

from __future__ import annotations

from alembic import op
from sqlalchemy import CheckConstraint, Column, Integer, LargeBinary, String

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create the counters and the quotes."""
    op.create_table(
        "counters",
        Column("series", String(20), primary_key=True, comment="what is counted, for example Q-2026"),
        Column("last", Integer, CheckConstraint("last > 0"), nullable=False),
    )
    op.create_table(
        "quotes",
        Column("id", String(36), primary_key=True, comment="UUID version 7: ordered by time, not to be guessed"),
        Column("number", String(20), nullable=False),
        Column("revision", Integer, nullable=False),
        Column("status", String(20), nullable=False),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("issued_on", String(10), nullable=False),
        Column("valid_until", String(10), nullable=False),
        Column("currency", String(3), nullable=False),
        Column("payable", String(24), comment="decimal text; empty where nothing could be priced"),
        Column("catalogue_version", String(80), nullable=False),
        Column("price_version", String(80), nullable=False),
        Column("checksum", String(80), nullable=False, comment="sha256:... of the canonical form without status and checksum"),
        Column("document", LargeBinary, nullable=False, comment="gzip of what the engine said, as it was said"),
        Column("request", LargeBinary, nullable=False, comment="gzip of the body as received"),
    )
    op.create_index("quotes_number_revision", "quotes", ["number", "revision"], unique=True)
