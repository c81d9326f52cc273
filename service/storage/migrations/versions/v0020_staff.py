"""The shop's people, the links they sign in by, and their sessions at the desk."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Float, ForeignKey, String

revision = "0020"
down_revision = "0019"


def upgrade() -> None:
    """Create the tables."""
    op.create_table(
        "staff",
        Column("id", String(12), primary_key=True),
        Column("name", String(80), nullable=False, comment="of one of the shop's people, who signs in at the desk"),
        Column("role", String(12), nullable=False),
        Column("created_at", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("ended_at", String(32), comment="RFC 3339, UTC: since when they cannot sign in"),
    )
    op.create_table(
        "sign_in_links",
        Column("digest", String(64), primary_key=True, comment="SHA-256 of the link's secret, hexadecimal"),
        Column("person", String(12), ForeignKey("staff.id"), nullable=False),
        Column("until", Float, nullable=False, comment="seconds since 1970"),
        Column("made_by", String(12), ForeignKey("staff.id"), comment="who made it at the desk; empty where a command did"),
    )
    op.create_index("sign_in_links_person", "sign_in_links", ["person"])
    op.create_table(
        "desk_sessions",
        Column("digest", String(64), primary_key=True, comment="SHA-256 of the cookie, hexadecimal"),
        Column("id", String(12), nullable=False, unique=True, comment="the part of a session that may be seen"),
        Column("person", String(12), ForeignKey("staff.id"), nullable=False),
        Column("created_at", Float, nullable=False, comment="seconds since 1970"),
        Column("seen_at", Float, nullable=False, comment="seconds since 1970, to within some minutes"),
        Column("language", String(2), comment="as chosen; empty for that of the browser"),
    )
    op.create_index("desk_sessions_person", "desk_sessions", ["person"])
