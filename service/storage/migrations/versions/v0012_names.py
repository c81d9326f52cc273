"""One name for one thing, in columns and in what is stored as it is answered: moments end in `_at`, an event has a type, a batch's lines
succeed or fail, a plan is taken and its take reversed.

Quotes stand under their checksum and stay as they are. So do answers that are kept for a day to be given again.
"""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Callable
from typing import Any

from alembic import op
from sqlalchemy import LargeBinary, column, func, select, table, update

revision = "0012"
down_revision = "0011"
AT_ONCE = 100
COLUMNS = {
    "quotes": {"created": "created_at"},
    "editions": {"stored": "stored_at"},
    "movements": {"at": "occurred_at", "what": "type", "undone": "reversed"},
    "cutting_plans": {"created": "created_at"},
    "events": {"at": "occurred_at", "what": "type", "who": "by"},
    "api_keys": {"created": "created_at", "revoked": "revoked_at"},
    "link_secrets": {"created": "created_at", "withdrawn": "withdrawn_at"},
    "renditions": {"made": "made_at"},
    "batches": {"created": "created_at"},
    "batch_chunks": {"done": "succeeded"},
    "webhook_endpoints": {"created": "created_at", "removed": "removed_at"},
    "webhook_messages": {"created": "created_at"},
}
COMMENTS = {
    ("movements", "type"): "take, reversal or count",
    ("events", "type"): "such as quote.accepted",
    ("batches", "state"): "receiving, waiting, running, completed or cancelled",
    ("batch_lines", "name"): "the sender's own id of the line",
    ("batch_lines", "outcome"): "succeeded or failed; empty while it is to do",
}
MOVEMENTS = {"taken": "take", "undone": "reversal", "counted": "count"}
TYPES = {"quote.created": "quote.issued", "batch.done": "batch.completed"}
Json = dict[str, Any]


def upgrade() -> None:
    """Rename the columns, and the words in them; then what is stored as JSON, a few rows at a time."""
    for name, columns in COLUMNS.items():
        for old, new in columns.items():
            op.execute(f'ALTER TABLE {name} RENAME COLUMN "{old}" TO "{new}"')
    if op.get_bind().dialect.name == "postgresql":  # SQLite keeps no comments
        for (name, of), comment in COMMENTS.items():
            op.alter_column(name, of, comment=comment)
    op.execute("UPDATE events SET type = 'quote.' || type")
    _reword("movements", "type", MOVEMENTS)
    _reword("batches", "state", {"done": "completed"})
    _reword("batch_lines", "outcome", {"quoted": "succeeded"})
    _reword("webhook_messages", "event", TYPES)
    endpoints = table("webhook_endpoints", column("events"))
    for old, new in TYPES.items():
        op.execute(update(endpoints).values(events=func.replace(endpoints.c.events, old, new)))
    _rewrite("movements", "document", _movement)
    _rewrite("as_built", "document", lambda record: _named(record, {"recorded": "recorded_at"}))
    _rewrite("batches", "summary", _fleet)
    _rewrite("webhook_messages", "body", _message, packed=False)


def _reword(name: str, of: str, words: dict[str, str]) -> None:
    rows = table(name, column(of))
    for old, new in words.items():
        op.execute(update(rows).where(rows.c[of] == old).values({of: new}))


def _rewrite(name: str, of: str, change: Callable[[Json], Json], *, packed: bool = True) -> None:
    """Rewrite a column of JSON, gzipped where `packed`; what cannot be read stays as it is."""
    rows = table(name, column("id"), column(of, LargeBinary))
    connection, last = op.get_bind(), ""
    query = select(rows.c.id, rows.c[of]).where(rows.c[of].is_not(None)).order_by(rows.c.id).limit(AT_ONCE)
    while found := connection.execute(query.where(rows.c.id > last)).all():
        for key, content in found:
            try:
                text = gzip.decompress(bytes(content)) if packed else bytes(content)
                said = json.dumps(change(json.loads(text)), ensure_ascii=False, separators=(",", ":")).encode()
            except (OSError, EOFError, zlib.error, ValueError, KeyError, TypeError, AttributeError):
                continue
            values = {of: gzip.compress(said, 1, mtime=0) if packed else said}
            connection.execute(rows.update().where(rows.c.id == key).values(values))
        last = found[-1].id


def _named(said: Json, names: dict[str, str]) -> Json:
    return {names.get(name, name): value for name, value in said.items()}


def _movement(said: Json) -> Json:
    found = _named(said, {"at": "occurred_at", "what": "type", "plan": "plan_id", "out": "removed", "came": "added"})
    return {**found, "type": MOVEMENTS.get(found["type"], found["type"])}


def _fleet(said: Json) -> Json:
    found = _named(said, {"batch": "batch_id", "made": "created_at"})
    boats = [_named(each, {"line": "custom_id"}) for each in found["boats"]]
    compared = {name: _named(each, {"line": "custom_id"}) if isinstance(each, dict) else each for name, each in found["compared"].items()}
    return {**found, "boats": boats, "compared": compared}


def _message(said: Json) -> Json:
    kind = TYPES.get(said["type"], said["type"])
    if kind == "batch.completed" and said["type"] != kind:
        data = {**_named(said["data"], {"state": "status", "done": "succeeded"}), "status": "completed"}
        return {**said, "type": kind, "data": data}
    return {**said, "type": kind}
