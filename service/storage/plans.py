"""Stores and retrieves cutting plans. Stored plans never change."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, func, or_, select

from service.encoding import json
from service.encoding.gzip import pack, unpack
from service.storage.database import Database
from service.storage.ids import new_id
from service.storage.records import moment
from service.storage.shelves import TAKE
from service.storage.tables import cutting_plans, movements, quotes


@dataclass(frozen=True, slots=True)
class StoredPlan:
    """A stored plan, as it was returned."""

    id: str
    document: bytes

    @property
    def etag(self) -> str:
        """The plan's strong entity tag, the same for all its formats."""
        return hashlib.sha256(self.document).hexdigest()[:32]

    def body(self) -> bytes:
        """The plan as JSON."""
        return unpack(self.document)

    def parsed(self) -> dict[str, Any]:
        """The plan as parsed JSON."""
        plan: dict[str, Any] = json.read_own(self.body())
        return plan


@dataclass(frozen=True, slots=True)
class PlanSummary:
    """A plan's entry in a list. `created_at` is RFC 3339 in UTC, `quote_id` of the quote whose own plan it is, `cost` decimal text."""

    id: str
    created_at: str
    quote_id: str | None
    title: str
    day: str
    stock_source: str
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

    def add_own(self, document: Mapping[str, Any], quote_id: str, basis: str) -> StoredPlan:
        """Store a quote's own plan, made with `basis`; if another request has just done so, that plan counts."""
        with self._database.writing() as connection:
            connection.execute(_HOLD, {"wanted": quote_id})
            found = connection.execute(_BY_QUOTE.where(cutting_plans.c.basis == basis), {"wanted": quote_id}).one_or_none()
            return add_plan(connection, document, quote_id, basis) if found is None else StoredPlan(*found)

    def taken_of(self, quote_id: str) -> StoredPlan | None:
        """The latest of a quote's own plans that was taken, and not reversed."""
        return self._one(_TAKEN, quote_id)

    def get(self, plan_id: str) -> StoredPlan | None:
        """The plan with this id."""
        return self._one(_BY_ID, plan_id)

    def of_quote(self, quote_id: str, basis: str | None = None) -> StoredPlan | None:
        """The latest of a quote's own plans; with `basis`, only one made with that."""
        query = _BY_QUOTE if basis is None else _BY_QUOTE.where(cutting_plans.c.basis == basis)
        return self._one(query, quote_id)

    def quote_of(self, plan_id: str) -> str | None:
        """The id of the quote whose own plan this is."""
        with self._database.reading() as connection:
            found: str | None = connection.execute(_QUOTE, {"wanted": plan_id}).scalar_one_or_none()
        return found

    def page(self, limit: int, before: str | None = None) -> list[PlanSummary]:
        """Up to `limit` plans, newest first; with `before`, only those older than that id."""
        query = select(*_LISTED).order_by(cutting_plans.c.id.desc()).limit(limit)
        if before is not None:
            query = query.where(cutting_plans.c.id < before)
        with self._database.reading() as connection:
            return [_listed(connection, *row) for row in connection.execute(query).all()]

    def _one(self, query: Any, wanted: str) -> StoredPlan | None:
        with self._database.reading() as connection:
            row = connection.execute(query, {"wanted": wanted}).one_or_none()
        return None if row is None else StoredPlan(*row)


_OF = func.coalesce(cutting_plans.c.of_quote, cutting_plans.c.quote_id)
_LISTED = [cutting_plans.c.id, cutting_plans.c.created_at, _OF, cutting_plans.c.summary]
_SUMMARY = ("title", "day", "stock_source", "currency", "cost", "proven")
_QUOTE = select(_OF).where(cutting_plans.c.id == bindparam("wanted"))
_BY_ID = select(cutting_plans.c.id, cutting_plans.c.document).where(cutting_plans.c.id == bindparam("wanted"))
_BY_QUOTE = (
    select(cutting_plans.c.id, cutting_plans.c.document)
    .where(or_(cutting_plans.c.of_quote == bindparam("wanted"), cutting_plans.c.quote_id == bindparam("wanted")))
    .order_by(cutting_plans.c.id.desc())
    .limit(1)
)


_TAKEN = _BY_QUOTE.join(movements, movements.c.plan_id == cutting_plans.c.id).where(movements.c.type == TAKE, movements.c.reversed == 0)
_HOLD = select(quotes.c.id).where(quotes.c.id == bindparam("wanted")).with_for_update()


def summary_of(document: Mapping[str, Any]) -> bytes:
    """A plan's entry in a list, packed, since the plan itself may take megabytes."""
    return pack(json.write({name: document[name] for name in _SUMMARY}))


def _listed(connection: Connection, plan_id: str, created: str, quote_id: str | None, summary: bytes | None) -> PlanSummary:
    if summary is None:
        summary = summary_of(StoredPlan(*connection.execute(_BY_ID, {"wanted": plan_id}).one()).parsed())
    return PlanSummary(plan_id, created, quote_id, **json.read_own(unpack(summary)))


def add_plan(connection: Connection, document: Mapping[str, Any], quote_id: str | None = None, basis: str | None = None) -> StoredPlan:
    """Store a plan in the current transaction; for a quote's own plan, along with its quote and what it was made with."""
    plan_id = new_id()
    stored = StoredPlan(plan_id, pack(json.write({"id": plan_id, **document})))
    row = {
        "id": plan_id, "created_at": moment(), "of_quote": quote_id, "basis": basis, "document": stored.document,
        "summary": summary_of(document),
    }  # fmt: skip
    connection.execute(cutting_plans.insert(), [row])
    return stored
