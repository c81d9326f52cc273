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

    def _one(self, query: Any, wanted: str) -> StoredPlan | None:
        with self._database.reading() as connection:
            row = connection.execute(query, {"wanted": wanted}).one_or_none()
        return None if row is None else StoredPlan(*row)


_BY_ID = select(cutting_plans.c.id, cutting_plans.c.document).where(cutting_plans.c.id == bindparam("wanted"))
_BY_QUOTE = select(cutting_plans.c.id, cutting_plans.c.document).where(cutting_plans.c.quote_id == bindparam("wanted"))


def add_plan(connection: Connection, document: Mapping[str, Any], quote_id: str | None = None) -> StoredPlan:
    """Store a plan in a transaction that is open already, beside the quote it belongs to."""
    plan_id = new_id()
    stored = StoredPlan(plan_id, gzip.compress(json.write({"id": plan_id, **document}), 1, mtime=0))
    row = {"id": plan_id, "created": moment(), "quote_id": quote_id, "document": stored.document}
    connection.execute(cutting_plans.insert(), [row])
    return stored
