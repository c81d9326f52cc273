"""The shelf and its movements."""

from __future__ import annotations

from alembic import op
from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, LargeBinary, String

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Create the shelf, its version and its movements."""
    op.create_table(
        "shelf",
        Column("id", String(120), primary_key=True, comment="the shop's own name of a spool, opened spool or offcut"),
        Column("wire", String(120), nullable=False),
        Column("kind", String(20), nullable=False),
        Column("length", String(40), nullable=False, comment="decimal text, mm"),
        Column("price", String(40), comment="decimal text, of one whole object"),
        Column("price_per_metre", String(40), comment="decimal text"),
        Column("count", Integer, CheckConstraint("count > 0"), nullable=False),
        Column("touch", String(40), comment="decimal text; empty for the shop's usual amount"),
        Column("source", String(300), nullable=False),
    )
    op.create_table(
        "shelf_version",
        Column(
            "place",
            Integer,
            CheckConstraint("place = 1"),
            primary_key=True,
            autoincrement=False,
            comment="there is one row, once anything moved",
        ),
        Column("version", Integer, nullable=False),
    )
    op.create_table(
        "movements",
        Column("id", String(36), primary_key=True, comment="UUID version 7"),
        Column("at", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("what", String(20), nullable=False, comment="taken, undone or counted"),
        Column("plan_id", String(36), ForeignKey("cutting_plans.id")),
        Column("undone", Integer, nullable=False, comment="1 where a later movement put it back"),
        Column("document", LargeBinary, nullable=False, comment="gzip of the movement as answered"),
    )
    op.create_index("movements_plan", "movements", ["plan_id"])
