"""Editions are put in force from a day on, and who did so is kept; each has its name, and may be a draft."""

from __future__ import annotations

import csv
import gzip
import zlib

import orjson
from alembic import op
from sqlalchemy import Column, Integer, LargeBinary, String, Text, column, select, table

revision = "0019"
down_revision = "0018"
EDITIONS = table("editions", column("catalogue_version"), column("price_version"), column("content", LargeBinary), column("name"))
IN_FORCE = table("in_force", column("catalogue_version"), column("price_version"), column("since"))


def upgrade() -> None:
    """Add the columns and the table, take over what is in force, and name the editions that can be read."""
    op.add_column(
        "editions", Column("accepted", Text, comment="the file of accepted doubts, with who and why; empty where nothing was accepted")
    )
    op.add_column(
        "editions", Column("name", String(300), comment="as the tables call themselves; empty where a migration could not read it")
    )
    op.add_column("editions", Column("key", String(80), comment="name of the key it was sent with; empty where it was not by a key"))
    op.add_column(
        "editions", Column("draft", Integer, nullable=False, server_default="0", comment="1 while nothing but its sending has used it")
    )
    puts = op.create_table(
        "editions_in_force",
        Column(
            "change", Integer, primary_key=True, autoincrement=False, comment="from 1; two who put at once want the same, and one has it"
        ),
        Column("catalogue_version", String(80), nullable=False),
        Column("price_version", String(80), nullable=False),
        Column("from_day", String(10), nullable=False, comment="of the shop; empty where it was put before days were kept"),
        Column("put_at", String(32), nullable=False, comment="RFC 3339, UTC"),
        Column("means", String(10), nullable=False, comment="start or person"),
        Column("by", String(120), comment="as said; empty where nobody was named"),
        Column("words", Text),
        Column("key", String(80), comment="name of the key it was done with; empty where it was not by a key"),
    )
    op.create_index("editions_in_force_from_day", "editions_in_force", ["from_day", "change"])
    connection = op.get_bind()
    before = connection.execute(select(IN_FORCE)).one_or_none()
    if before is not None:
        versions = {"catalogue_version": before.catalogue_version, "price_version": before.price_version}
        connection.execute(puts.insert(), [{"change": 1, **versions, "from_day": "", "put_at": before.since, "means": "start"}])
    op.drop_table("in_force")
    for row in connection.execute(select(EDITIONS.c.catalogue_version, EDITIONS.c.price_version)).all():
        this = (EDITIONS.c.catalogue_version == row.catalogue_version) & (EDITIONS.c.price_version == row.price_version)
        name = _name(connection.execute(select(EDITIONS.c.content).where(this)).scalar_one())
        if name:
            connection.execute(EDITIONS.update().where(this).values(name=name))


def _name(content: bytes) -> str:
    try:
        files = orjson.loads(gzip.decompress(bytes(content)))
        rows = list(csv.reader(files["edition.csv"].splitlines()))
        return rows[1][[each.strip() for each in rows[0]].index("name")].strip()[:300]
    except (OSError, EOFError, zlib.error, ValueError, KeyError, IndexError, TypeError, AttributeError, csv.Error):
        return ""
