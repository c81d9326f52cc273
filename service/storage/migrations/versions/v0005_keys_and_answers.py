"""Keys and link secrets, and stored responses for requests repeated with the same Idempotency-Key."""

from __future__ import annotations

from alembic import op
from sqlalchemy import Column, Float, Integer, LargeBinary, String, Text

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Create the three tables."""
    op.create_table(
        "api_keys",
        Column("id", String(12), primary_key=True, comment="the part of a key that may be seen"),
        Column("kind", String(12), nullable=False),
        Column("name", String(80), nullable=False),
        Column(
            "owner", String(12), nullable=False, comment="id of the first key of a line of rotations: whose replays and limits these are"
        ),
        Column("digest", String(64), nullable=False, comment="SHA-256 of the key, hexadecimal; the key itself is not kept"),
        Column("scopes", String(200), nullable=False, comment="with spaces between them"),
        Column("origins", Text, nullable=False, comment="with spaces between them; a publishable key works from no other"),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("revoked", String(32), comment="RFC 3339, UTC: from when on it is refused"),
        Column("last_used", String(10), comment="a day, UTC"),
    )
    op.create_table(
        "link_secrets",
        Column("id", String(12), primary_key=True),
        Column("secret", LargeBinary, nullable=False, comment="what links are signed with; empty once withdrawn"),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("withdrawn", String(32), comment="RFC 3339, UTC"),
    )
    op.create_table(
        "answers",
        Column("owner", String(80), primary_key=True, comment="whose key it is: owner of an API key, or of a link"),
        Column("key", String(255), primary_key=True, comment="the Idempotency-Key"),
        Column("fingerprint", String(64), nullable=False, comment="SHA-256 of method, address and body"),
        Column("claim", String(32), nullable=False, comment="which request carries it out"),
        Column(
            "until", Float, nullable=False, comment="seconds since 1970: then a running request has lost it, and an answer is forgotten"
        ),
        Column("status", Integer, comment="empty while the request runs"),
        Column("headers", Text, comment="JSON, pairs of name and value"),
        Column("body", LargeBinary, comment="gzip of the body as answered"),
    )
    op.create_index("answers_until", "answers", ["until"])
