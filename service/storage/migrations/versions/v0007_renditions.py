"""Rendered documents, stored for reuse."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, ForeignKey, LargeBinary, String

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Create the table."""
    op.create_table(
        "renditions",
        Column("quote_id", String(36), ForeignKey("quotes.id"), primary_key=True),
        Column("document", String(20), primary_key=True, comment="which document of the quote"),
        Column("made_of", String(200), nullable=False, comment="the quote's state and what the document was made by"),
        Column("made", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("content", LargeBinary, nullable=False),
    )
    op.create_index("renditions_made", "renditions", ["made"])
