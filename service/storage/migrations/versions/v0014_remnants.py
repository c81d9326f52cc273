"""What is left of a spool or offcut is its remnant: in cutting plans, in movements, and in the summaries of plans and fleets.

Quotes stand under their checksum and stay as they are, with the plans that they hold.
"""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Callable, Mapping
from typing import Any

from alembic import op
from sqlalchemy import LargeBinary, column, select, table

revision = "0014"
down_revision = "0013"
AT_ONCE = 100
OF_PLAN = {"planned_on": "stock_source"}
OF_WIRE = {"least_rest": "minimum_remnant"}
OF_USE = {
    "rest": "remnant", "rest_kept": "remnant_kept", "rest_id": "remnant_id", "rest_goes_to": "remnant_goes_to", "rest_value": "remnant_value",
}  # fmt: skip
OF_NOTE = {"rest_not_worth_keeping": "remnant_not_worth_keeping", "rest_not_as_charged": "remnant_not_as_charged"}
OF_COMPARED = {"least": "minimum", "middle": "median", "most": "maximum"}
Json = dict[str, Any]


def upgrade() -> None:
    """Rewrite each document, a few at a time; what cannot be read stays as it is."""
    _rewrite("cutting_plans", "document", _plan)
    _rewrite("cutting_plans", "summary", lambda said: _named(said, OF_PLAN))
    _rewrite("movements", "document", _movement)
    _rewrite("batches", "summary", lambda said: {**said, "compared": _named(said["compared"], OF_COMPARED)})


def _rewrite(name: str, of: str, change: Callable[[Json], Json]) -> None:
    rows = table(name, column("id"), column(of, LargeBinary))
    connection, last = op.get_bind(), ""
    query = select(rows.c.id, rows.c[of]).where(rows.c[of].is_not(None)).order_by(rows.c.id).limit(AT_ONCE)
    while found := connection.execute(query.where(rows.c.id > last)).all():
        for key, content in found:
            try:
                said = json.dumps(change(json.loads(gzip.decompress(bytes(content)))), ensure_ascii=False, separators=(",", ":")).encode()
            except (OSError, EOFError, zlib.error, ValueError, KeyError, TypeError, AttributeError):
                continue
            connection.execute(rows.update().where(rows.c.id == key).values({of: gzip.compress(said, 1, mtime=0)}))
        last = found[-1].id


def _named(said: Json, names: Mapping[str, str]) -> Json:
    return {names.get(name, name): value for name, value in said.items()}


def _plan(said: Json) -> Json:
    return {**_named(said, OF_PLAN), "wires": [_wire(wire) for wire in said["wires"]]}


def _wire(said: Json) -> Json:
    found = _named(said, OF_WIRE)
    return {**found, "uses": [_named(use, OF_USE) for use in found["uses"]], "notes": [_note(note) for note in found["notes"]]}


def _note(said: Json) -> Json:
    found = {**said, "code": OF_NOTE.get(said["code"], said["code"])}
    return {**found, "values": _named(found["values"], {"rest": "remnant"})} if "values" in found else found


def _movement(said: Json) -> Json:
    kept = [_named(each, {"rest_id": "remnant_id"}) for each in said["kept_as"]]
    return {
        **said,
        **{name: [_named(row, {"touch": "touch_cost"}) for row in said[name]] for name in ("removed", "added")},
        "kept_as": kept,
    }
