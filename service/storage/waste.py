"""Records what became of the stock of each plan that is taken, and the waste that its quotes charge: written in the transaction of the take,
and deleted when the take is reversed.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, bindparam, func, select

from service.encoding import json
from service.encoding.gzip import unpack
from service.storage.quotes import one
from service.storage.tables import cut_quotes, cutting_plans, taken_plans

STOCK_USES = ("pieces", "allowances", "scrap", "kept", "customers")  # of a plan's totals
_OF: Any = bindparam("of")


def note(connection: Connection, plan_id: str, day: str) -> None:
    """Record that a plan was taken on a day (UTC)."""
    own, document = connection.execute(_PLAN, {"of": plan_id}).one()
    plan = json.read(unpack(document))
    connection.execute(taken_plans.insert(), [{"day": day, "plan_id": plan_id, **stock_totals(plan["totals"])}])
    quotes = {own} if own else {each["id"] for each in plan.get("quotes", ())}
    rows = [{"day": day, "quote_id": each, "plan_id": plan_id, "priced": _priced(connection, each)} for each in sorted(quotes)]
    if rows:
        connection.execute(cut_quotes.insert(), rows)


def forget(connection: Connection, plan_id: str) -> None:
    """Delete the record of a plan whose take is reversed."""
    for table in (cut_quotes, taken_plans):
        connection.execute(table.delete().where(table.c.plan_id == plan_id))


def stock_totals(totals: Mapping[str, Any]) -> dict[str, int]:
    """What becomes of a plan's stock, in thousandths of a mm. Plans of earlier releases have no customers' remnants."""
    return {name: thousandths(Decimal(totals[name]["mm"])) if name in totals else 0 for name in STOCK_USES}


def thousandths(mm: Decimal) -> int:
    """A length in thousandths of a mm, the smallest unit in plans and in quote lines."""
    return round(mm * 1000)


def _priced(connection: Connection, quote_id: str) -> int | None:
    """The length of wire that a quote charges as waste (cutting allowances, scrap, and remnants, which go to the customer); None if the quote
    does not exist.
    """
    stored = one(connection, quote_id)
    if stored is None:
        return None
    return sum(thousandths(each.quantity * 1000) for each in stored.quote().lines if each.group == "waste" and each.unit == "m")


_PLAN = select(func.coalesce(cutting_plans.c.of_quote, cutting_plans.c.quote_id), cutting_plans.c.document).where(cutting_plans.c.id == _OF)
