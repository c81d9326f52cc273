"""Batches with their lines and chunks, webhooks with the messages to be delivered to them, and the progress of periodic tasks."""

from __future__ import annotations

from alembic import op
from sqlalchemy import CheckConstraint, Column, Float, ForeignKey, Integer, LargeBinary, String, Text

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Create the six tables."""
    op.create_table(
        "batches",
        Column("id", String(36), primary_key=True, comment="UUID version 7"),
        Column("kind", String(12), nullable=False, comment="quotes or requotes"),
        Column("source", String(12), nullable=False, comment="ndjson, csv, json or stored"),
        Column("state", String(12), nullable=False, comment="receiving, waiting, running, done or cancelled"),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("total", Integer, CheckConstraint("total >= 0"), nullable=False),
        Column("catalogue_version", String(80), nullable=False, comment="the tables that all of it is quoted with"),
        Column("price_version", String(80), nullable=False),
        Column("columns", Text, comment="JSON: the names of a CSV file's columns"),
        Column("touched", Float, nullable=False, comment="seconds since 1970: last received or worked on"),
        Column("begun", Float, comment="seconds since 1970"),
        Column("ended", Float, comment="seconds since 1970"),
        Column("summary", LargeBinary, comment="gzip of the fleet's summary, once asked for"),
    )
    op.create_index("batches_state", "batches", ["state", "touched"])
    op.create_table(
        "batch_chunks",
        Column("batch_id", String(36), ForeignKey("batches.id"), primary_key=True),
        Column("first", Integer, primary_key=True, autoincrement=False, comment="place of its first line, from 0"),
        Column("count", Integer, CheckConstraint("count > 0"), nullable=False),
        Column("state", String(10), nullable=False, comment="todo, working, done or cancelled"),
        Column("attempts", Integer, nullable=False, comment="how often it was begun"),
        Column("holder", String(32), comment="who works on it"),
        Column("until", Float, comment="seconds since 1970: then whoever works on it has lost it"),
        Column("ended", Float, comment="seconds since 1970"),
        Column("done", Integer, nullable=False),
        Column("failed", Integer, nullable=False),
    )
    op.create_index("batch_chunks_state", "batch_chunks", ["state", "batch_id", "first"])
    op.create_table(
        "batch_lines",
        Column("batch_id", String(36), ForeignKey("batches.id"), primary_key=True),
        Column("place", Integer, primary_key=True, autoincrement=False, comment="from 0, in the order of the file"),
        Column("name", String(120), comment="the line's own name, as sent"),
        Column("number", Integer, nullable=False, comment="line of the file, or row of a sheet, from 1"),
        Column("rows", Text, comment="JSON: the row of each assembly, of a sheet"),
        Column("request", LargeBinary, comment="gzip of the request; empty once there is an outcome"),
        Column("subject", String(36), comment="id of the quote that is quoted again"),
        Column("outcome", String(10), comment="quoted or failed; empty while it is to do"),
        Column("quote_id", String(36), ForeignKey("quotes.id")),
        Column("said", LargeBinary, comment="gzip of JSON: the quote's head, or the problem"),
    )
    op.create_index("batch_lines_name", "batch_lines", ["batch_id", "name"])
    op.create_index("batch_lines_quote", "batch_lines", ["quote_id"], unique=True)
    op.create_table(
        "webhook_endpoints",
        Column("id", String(12), primary_key=True),
        Column("url", Text, nullable=False),
        Column("events", String(200), nullable=False, comment="with spaces between them"),
        Column("secret", LargeBinary, nullable=False, comment="what messages are signed with"),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("removed", String(32), comment="RFC 3339, UTC: from when on nothing is sent there"),
    )
    op.create_table(
        "webhook_messages",
        Column("id", String(36), primary_key=True, comment="UUID version 7: the message's own, the same at each attempt"),
        Column("endpoint_id", String(12), ForeignKey("webhook_endpoints.id"), nullable=False),
        Column("event", String(20), nullable=False),
        Column("created", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("body", LargeBinary, nullable=False, comment="JSON as it is sent"),
        Column("state", String(10), nullable=False, comment="waiting, delivered or dead"),
        Column("attempts", Integer, nullable=False),
        Column("due", Float, nullable=False, comment="seconds since 1970: when to try next"),
        Column("answer", Text, comment="what came of the last attempt"),
    )
    op.create_index("webhook_messages_due", "webhook_messages", ["state", "due"])
    op.create_table(
        "chores",
        Column("name", String(20), primary_key=True),
        Column("reached", String(40), nullable=False, comment="how far it has come, a day or a moment"),
    )
