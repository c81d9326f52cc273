"""A database as the first release left it: its own CREATE statements, and rows that it wrote (two quotes of one assembly each)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, text

TABLES = """
CREATE TABLE counters (
	series VARCHAR(20) NOT NULL,
	last INTEGER NOT NULL CHECK (last > 0),
	PRIMARY KEY (series)
);
CREATE TABLE quotes (
	id VARCHAR(36) NOT NULL,
	number VARCHAR(20) NOT NULL,
	revision INTEGER NOT NULL,
	status VARCHAR(20) NOT NULL,
	created VARCHAR(32) NOT NULL,
	issued_on VARCHAR(10) NOT NULL,
	valid_until VARCHAR(10) NOT NULL,
	currency VARCHAR(3) NOT NULL,
	payable VARCHAR(24),
	catalogue_version VARCHAR(80) NOT NULL,
	price_version VARCHAR(80) NOT NULL,
	checksum VARCHAR(80) NOT NULL,
	document {bytes} NOT NULL,
	request {bytes} NOT NULL,
	PRIMARY KEY (id)
);
CREATE UNIQUE INDEX quotes_number_revision ON quotes (number, revision)
"""
BYTES = {"sqlite": "BLOB", "postgresql": "BYTEA"}


def first_rows() -> list[dict[str, Any]]:
    """The quotes' rows."""
    lines = (Path(__file__).parent / "rows.ndjson").read_text(encoding="utf-8").splitlines()
    rows = [json.loads(line) for line in lines]
    return [{**row, "document": bytes.fromhex(row["document"]), "request": bytes.fromhex(row["request"])} for row in rows]


def lay_down(connection: Connection) -> None:
    """Make the first release's tables and rows."""
    for statement in TABLES.format(bytes=BYTES[connection.dialect.name]).split(";\n"):
        connection.execute(text(statement))
    connection.execute(text("INSERT INTO counters VALUES ('Q-2026', 2)"))
    for row in first_rows():
        names = ", ".join(row)
        connection.execute(text(f"INSERT INTO quotes ({names}) VALUES ({', '.join(f':{name}' for name in row)})"), row)  # noqa: S608
