"""PDFs are no longer kept: each is made in a moment."""

from __future__ import annotations

from alembic import op

revision = "0017"
down_revision = "0016"


def upgrade() -> None:
    """Drop the table of rendered documents."""
    op.drop_table("renditions")
