"""The tables, and the one function that makes them."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Column, Engine, ForeignKey, Index, Integer, LargeBinary, MetaData, String, Table

metadata = MetaData()

counters = Table(
    "counters",
    metadata,
    Column("series", String(20), primary_key=True, comment="what is counted, for example Q-2026"),
    Column("last", Integer, CheckConstraint("last > 0"), nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
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
    Index("quotes_number_revision", "number", "revision", unique=True),
)

cutting_plans = Table(
    "cutting_plans",
    metadata,
    Column("id", String(36), primary_key=True, comment="UUID version 7"),
    Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
    Column(
        "quote_id", String(36), ForeignKey("quotes.id"), unique=True, comment="the quote it was issued with; empty for a plan of its own"
    ),
    Column("document", LargeBinary, nullable=False, comment="gzip of the plan with its real cost, as it was said"),
)


def create_tables(engine: Engine) -> None:
    """Make what is missing; every process may call it."""
    metadata.create_all(engine)
