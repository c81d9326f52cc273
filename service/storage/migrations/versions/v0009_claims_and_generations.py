"""The process carrying out a request, so that others can tell whether it still runs; and the key generation from which a key is refused."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Integer, String

revision = "0009"
down_revision = "0008"


def upgrade() -> None:
    """Add the columns."""
    op.add_column("answers", Column("holder", String(120), comment="the process that carries it out; empty where it cannot be told"))
    op.add_column("api_keys", Column("ended", Integer, comment="generation of the keys since which it is refused, whatever a clock says"))
