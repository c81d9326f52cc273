"""Where the stock of taken plans went, and what their quotes charge as waste: noted when a plan is taken, in the same transaction, and forgotten when it is put back."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, bindparam, func, select

from service.encoding import json
from service.encoding.gzip import unpack
from service.storage.quotes import one
from service.storage.tables import cut_quotes, cutting_plans, taken_plans

WENT = ("pieces", "allowances", "scrap", "kept", "customers")  # of a plan's totals
_OF: Any = bindparam("of")


def note(connection: Connection, plan_id: str, day: str) -> None:
    """A plan is taken, on a day of UTC."""
    own, document = connection.execute(_PLAN, {"of": plan_id}).one()
    plan = json.read(unpack(document))
    connection.execute(taken_plans.insert(), [{"day": day, "plan_id": plan_id, **went(plan["totals"])}])
    quotes = {own} if own else {each["id"] for each in plan.get("quotes", ())}
    rows = [{"day": day, "quote_id": each, "plan_id": plan_id, "priced": _priced(connection, each)} for each in sorted(quotes)]
    if rows:
        connection.execute(cut_quotes.insert(), rows)


def forget(connection: Connection, plan_id: str) -> None:
    """It is put back."""
    for table in (cut_quotes, taken_plans):
        connection.execute(table.delete().where(table.c.plan_id == plan_id))


def went(totals: Mapping[str, Any]) -> dict[str, int]:
    """Where the stock of a plan went, in thousandths of a mm. A plan of an earlier release has no remnants of customers."""
    return {name: thousandths(Decimal(totals[name]["mm"])) if name in totals else 0 for name in WENT}


def thousandths(mm: Decimal) -> int:
    """Of a mm; neither plans nor lines of quotes have more."""
    return round(mm * 1000)


def _priced(connection: Connection, quote_id: str) -> int | None:
    """The wire that a quote charges as waste: allowances of cuts, scrap, and remnants, which go to the customer."""
    stored = one(connection, quote_id)
    if stored is None:
        return None
    return sum(thousandths(each.quantity * 1000) for each in stored.quote().lines if each.group == "waste" and each.unit == "m")


_PLAN = select(func.coalesce(cutting_plans.c.of_quote, cutting_plans.c.quote_id), cutting_plans.c.document).where(cutting_plans.c.id == _OF)
