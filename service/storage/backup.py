"""Backups of a whole database, of either kind, as one file that can be restored into either: gzipped JSON lines.

First line: the format, the schema version, and the time. Then one line per row, table by table, in an order in which they can be
filled. Last line: the number of rows, and the SHA-256 of everything before it. The backup is written from one snapshot while the
service runs, and gets its final name only when it is complete.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import os
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import Connection, MetaData, func, select

from service.encoding import json
from service.storage.database import Database
from service.storage.records import moment
from service.storage.schema_version import HEAD, State, WrongSchema, known_revisions, migrate, state_of

KIND = "wire-replacement-quotes backup"
_AT_ONCE = 200
_BYTES = "base64"


class BadBackup(ValueError):
    """A file that cannot be restored, or a database it cannot be restored into; says why."""


class Counted(NamedTuple):
    """The number of quotes and rows written or read."""

    quotes: int
    rows: int


def back_up(database: Database, file: Path) -> Counted:
    """Write a backup. Raises SQLAlchemyError, WrongSchema; OSError, also if the file already exists."""
    if file.exists():
        raise FileExistsError(f"{file} exists: name another file")
    part = file.with_name(f"{file.name}.part")
    try:
        with gzip.open(part, "wb", compresslevel=6) as out:
            counted = _written(database, out)
        with part.open("rb+") as whole:
            os.fsync(whole.fileno())
        part.replace(file)
    finally:
        part.unlink(missing_ok=True)
    return counted


def _written(database: Database, out: Any) -> Counted:
    digest, rows, quotes = hashlib.sha256(), 0, 0
    for line in _lines(database):
        digest.update(line)
        out.write(line)
        rows += 1
        quotes += line.startswith(b'{"quotes":')
    out.write(json.write({"rows": rows - 1, "sha256": digest.hexdigest()}) + b"\n")
    return Counted(quotes, rows - 1)


# Whoever was signed in when the backup was made, and has been signed out since, must not be signed in again by restoring it.
LEFT_OUT = frozenset({"sign_in_links", "desk_sessions"})


def _lines(database: Database) -> Iterator[bytes]:
    database.ready()
    with database.engine().connect() as connection:
        if connection.dialect.name == "postgresql":
            connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield json.write({"backup": KIND, "schema": HEAD, "made": moment()}) + b"\n"
            for table in _tables(connection).sorted_tables:
                if table.name in LEFT_OUT:
                    continue
                for row in connection.execution_options(yield_per=_AT_ONCE).execute(select(table)).mappings():
                    yield json.write({str(table.name): {str(name): _packed(value) for name, value in row.items()}}) + b"\n"


def _tables(connection: Connection) -> MetaData:
    """Every existing table except the schema version's own, so that none is ever forgotten."""
    found = MetaData()
    found.reflect(connection)
    if "alembic_version" in found.tables:
        found.remove(found.tables["alembic_version"])
    return found


def _packed(value: Any) -> Any:
    return {_BYTES: base64.b64encode(value).decode()} if isinstance(value, bytes | memoryview) else value


def _unpacked(value: Any) -> Any:
    return base64.b64decode(value[_BYTES]) if isinstance(value, dict) else value


def restore(database: Database, file: Path) -> Counted:
    """Fill a database that has no quotes yet. The file is read to its end before anything is written. Raises BadBackup, and the errors
    of `back_up`.
    """
    schema = _checked(file)
    with database.engine().connect() as connection:
        state = state_of(connection)
        if state not in (State.EMPTY, State.CURRENT):
            raise WrongSchema(state)
        if state is State.CURRENT and schema != HEAD:
            raise BadBackup(f"The backup is of schema {schema}, the database of {HEAD}: restore into a database without tables.")
    migrate(database.engine(), schema)
    with database.writing() as connection:
        counted = _fill(connection, _rows(file))
    migrate(database.engine())
    return counted


def _fill(connection: Connection, rows: Iterable[tuple[str, dict[str, Any]]]) -> Counted:
    tables = _tables(connection)
    there = connection.execute(select(func.count()).select_from(tables.tables["quotes"])).scalar_one()
    if there:
        raise BadBackup(f"The database holds {there} quotes: restore into one that has none, so that nothing is lost.")
    for table in reversed(tables.sorted_tables):
        connection.execute(table.delete())
    counts: dict[str, int] = {}
    for name, group in groupby(rows, key=lambda row: row[0]):
        for batch in _batches(row for _, row in group):
            connection.execute(tables.tables[name].insert(), batch)
            counts[name] = counts.get(name, 0) + len(batch)
    return Counted(counts.get("quotes", 0), sum(counts.values()))


def _batches(rows: Iterable[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    batch: list[dict[str, Any]] = []
    for row in rows:
        batch.append(row)
        if len(batch) == _AT_ONCE:
            yield batch
            batch = []
    if batch:
        yield batch


def _rows(file: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    with gzip.open(file, "rb") as lines:
        next(lines)
        for line in lines:
            ((name, row),) = list(json.read(line).items())[:1]
            if name != "rows":
                yield name, {column: _unpacked(value) for column, value in row.items()}


def _checked(file: Path) -> str:
    """The schema version of a complete backup. Raises BadBackup, or OSError if the file does not exist."""
    digest, last, rows = hashlib.sha256(), b"", -1
    with file.open("rb") as raw, gzip.open(raw, "rb") as lines:
        try:
            first = last = lines.readline()
            for line in lines:
                digest.update(last)
                last, rows = line, rows + 1
            head, foot = json.read(first), json.read(last)
        except (EOFError, OSError, ValueError) as error:
            raise BadBackup(f"{file} is not a complete backup: {error}. Use another copy of it, or an earlier one.") from None
    if not isinstance(head, dict) or head.get("backup") != KIND:
        raise BadBackup(f"{file} is not a backup of this service.")
    if foot != {"rows": rows, "sha256": digest.hexdigest()}:
        raise BadBackup(f"{file} is damaged: its rows are not as they were written. Use another copy of it, or an earlier one.")
    if head["schema"] not in known_revisions():
        raise BadBackup(f"{file} was made by a later release: restore it with that one.")
    return str(head["schema"])
