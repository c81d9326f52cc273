"""A quote's own cutting plan is made when it is asked for, and again once the shelf, the tables or the day have changed."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, String

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    """Add the columns; plans of earlier releases stay with the quotes they were issued with."""
    # in words, since Alembic adds no foreign key to a table of SQLite
    op.execute("ALTER TABLE cutting_plans ADD COLUMN of_quote VARCHAR(36) REFERENCES quotes (id)")
    if op.get_context().dialect.name == "postgresql":
        op.execute("COMMENT ON COLUMN cutting_plans.of_quote IS 'the quote whose own plan it is'")
    op.add_column("cutting_plans", Column("basis", String(200), comment="shelf, tables and day that a quote's own plan was made with"))
    op.create_index("cutting_plans_of_quote", "cutting_plans", ["of_quote"])
