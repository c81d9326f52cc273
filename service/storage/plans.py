"""Storing cutting plans and finding them again. What is stored never changes."""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, select

from service import json
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.records import moment
from service.storage.tables import cutting_plans


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A stored plan as it was said."""

    id: str
    document: bytes

    @property
    def etag(self) -> str:
        """Strong entity tag of the plan, whatever form it is shown in."""
        return hashlib.sha256(self.document).hexdigest()[:32]

    def body(self) -> bytes:
        """The plan as JSON."""
        return gzip.decompress(self.document)

    def said(self) -> dict[str, Any]:
        """The plan."""
        found: dict[str, Any] = json.read(self.body())
        return found


@dataclass(frozen=True, slots=True)
class PlanSummary:
    """A plan's line in a list. `created` RFC 3339 in UTC, `quote_id` of the quote that it was issued with, `cost` decimal text."""

    id: str
    created: str
    quote_id: str | None
    title: str
    day: str
    planned_on: str
    currency: str
    cost: str
    proven: bool


class Plans:
    """The cutting plans of one database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, document: Mapping[str, Any]) -> StoredPlan:
        """Store a plan of its own."""
        with self._database.writing() as connection:
            return add_plan(connection, document)

    def get(self, plan_id: str) -> StoredPlan | None:
        """The plan of that id."""
        return self._one(_BY_ID, plan_id)

    def of_quote(self, quote_id: str) -> StoredPlan | None:
        """The plan that a quote was issued with."""
        return self._one(_BY_QUOTE, quote_id)

    def quote_of(self, plan_id: str) -> str | None:
        """The id of the quote that a plan was issued with."""
        with self._database.reading() as connection:
            found: str | None = connection.execute(_QUOTE, {"wanted": plan_id}).scalar_one_or_none()
        return found

    def page(self, limit: int, before: str | None = None) -> list[PlanSummary]:
        """Up to `limit` plans, newest first, those made before the id `before` if one is given."""
        query = select(*_LISTED).order_by(cutting_plans.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(cutting_plans.c.id < before)
        with self._database.reading() as connection:
            rows = connection.execute(query).all()
        return [_summary(*row) for row in rows]

    def _one(self, query: Any, wanted: str) -> StoredPlan | None:
        with self._database.reading() as connection:
            row = connection.execute(query, {"wanted": wanted}).one_or_none()
        return None if row is None else StoredPlan(*row)


_LISTED = [cutting_plans.c[name] for name in ("id", "created", "quote_id", "document")]
_QUOTE = select(cutting_plans.c.quote_id).where(cutting_plans.c.id == bindparam("wanted"))
_BY_ID = select(cutting_plans.c.id, cutting_plans.c.document).where(cutting_plans.c.id == bindparam("wanted"))
_BY_QUOTE = select(cutting_plans.c.id, cutting_plans.c.document).where(cutting_plans.c.quote_id == bindparam("wanted"))


def _summary(plan_id: str, created: str, quote_id: str | None, document: bytes) -> PlanSummary:
    said = StoredPlan(plan_id, document).said()
    return PlanSummary(
        plan_id, created, quote_id, **{name: said[name] for name in ("title", "day", "planned_on", "currency", "cost", "proven")}
    )


def of_quote(document: Mapping[str, Any], number: str) -> dict[str, Any]:
    """A quote's own plan, once the quote has its number: each piece names it, and so does wire that is bought for it."""

    def named(pieces: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [{**piece, "quote": number} for piece in pieces]

    wires = [
        {
            **wire,
            "for_quote": number if wire["bought_for_the_job"] else None,
            "uses": [{**use, "cuts": named(use["cuts"])} for use in wire["uses"]],
            "unplanned": named(wire["unplanned"]),
        }
        for wire in document["wires"]
    ]
    return {**document, "wires": wires}


def add_plan(connection: Connection, document: Mapping[str, Any], quote_id: str | None = None) -> StoredPlan:
    """Store a plan in a transaction that is open already, beside the quote it belongs to."""
    plan_id = new_id()
    stored = StoredPlan(plan_id, gzip.compress(json.write({"id": plan_id, **document}), 1, mtime=0))
    row = {"id": plan_id, "created": moment(), "quote_id": quote_id, "document": stored.document}
    connection.execute(cutting_plans.insert(), [row])
    return stored
