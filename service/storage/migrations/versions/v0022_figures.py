"""Figures are kept as rows: quotes by day of issue and state, plans that were taken with where their wire went, and what the cut quotes charge as waste."""

from __future__ import annotations

import gzip
import zlib
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

import orjson
from alembic import op
from sqlalchemy import BigInteger, Column, ForeignKey, LargeBinary, String, column, select, table, text

revision = "0022"
down_revision = "0021"
AT_ONCE = 200
Json = dict[str, Any]
MOVEMENTS = table("movements", *(column(name) for name in ("id", "plan_id", "type", "reversed", "occurred_at")))
PLANS = table("cutting_plans", column("id"), column("of_quote"), column("quote_id"), column("document", LargeBinary))
QUOTES = table("quotes", column("id"), column("document", LargeBinary))
WENT = (
    ("pieces", "cut as pieces"), ("allowances", "lost in cuts"), ("scrap", "thrown away"), ("kept", "back on the shelf"),
    ("customers", "remnants of customers"),
)  # fmt: skip
COUNTED = """
    INSERT INTO quote_counts (day, status, valid_until, currency, quotes, millions, rest, ready_to_cut, confirm, hold)
    SELECT q.issued_on, e.status, CASE WHEN e.status = 'issued' THEN e.valid_until ELSE '' END, coalesce(e.currency, ''), count(*),
        sum(CASE WHEN e.amount > 0 THEN e.amount / 1000000000 ELSE 0 END), sum(CASE WHEN e.amount > 0 THEN e.amount % 1000000000 ELSE 0 END),
        sum(e.ready_to_cut), sum(e.confirm), sum(e.hold)
    FROM quote_entries AS e JOIN quotes AS q ON q.id = e.quote_id GROUP BY 1, 2, 3, 4
"""
CURRENCIES = "SELECT DISTINCT term FROM quote_terms WHERE term >= 'money:' AND term < 'money;'"
CURRENCY = "UPDATE quote_entries SET currency = :currency WHERE place IN (SELECT place FROM quote_terms WHERE term = :term)"


def upgrade() -> None:
    """Make the tables, and fill them with what is stored."""
    op.add_column(
        "quote_entries", Column("currency", String(3), comment="empty where it was not noted for counting, nor what the quote asked")
    )
    counts = (
        Column("quotes", BigInteger, nullable=False),
        Column("millions", BigInteger, nullable=False, comment="whole millions of the amounts: no sum of them is beyond what is counted"),
        Column("rest", BigInteger, nullable=False, comment="what the amounts are beyond millions, in thousandths"),
        *(Column(name, BigInteger, nullable=False) for name in ("ready_to_cut", "confirm", "hold")),
    )
    op.create_table(
        "quote_counts",
        Column("day", String(10), primary_key=True, comment="of issue"),
        Column("status", String(20), primary_key=True),
        Column("valid_until", String(10), primary_key=True, comment="of those issued; for all others nothing"),
        Column("currency", String(3), primary_key=True, comment="nothing where the entry has none"),
        *counts,
        sqlite_with_rowid=False,
    )
    taken = op.create_table(
        "taken_plans",
        Column("day", String(10), primary_key=True, comment="UTC, on which it was taken; one that was put back has no row"),
        Column("plan_id", String(36), ForeignKey("cutting_plans.id"), primary_key=True),
        *(
            Column(name, BigInteger, comment=f"{what}, in thousandths of a mm; empty where a migration could not read the plan")
            for name, what in WENT
        ),
        sqlite_with_rowid=False,
    )
    cut = op.create_table(
        "cut_quotes",
        Column("day", String(10), primary_key=True, comment="UTC, on which the plan was taken"),
        Column("quote_id", String(36), ForeignKey("quotes.id"), primary_key=True),
        Column("plan_id", String(36), ForeignKey("cutting_plans.id"), primary_key=True),
        Column(
            "priced", BigInteger, comment="wire that it charges as waste, in thousandths of a mm; empty where a migration could not read it"
        ),
        sqlite_with_rowid=False,
    )
    connection = op.get_bind()
    for term in connection.execute(text(CURRENCIES)).scalars().all():
        connection.execute(text(CURRENCY), {"term": term, "currency": term.removeprefix("money:")})
    connection.execute(text("DELETE FROM quote_terms WHERE term >= 'money:' AND term < 'money;'"))
    connection.execute(text(COUNTED))
    for rows in _taken(connection):
        connection.execute(taken.insert(), [each for each, _ in rows])
        if of_quotes := [each for _, found in rows for each in found]:
            connection.execute(cut.insert(), of_quotes)


def _taken(connection: Any) -> Iterator[list[tuple[Json, list[Json]]]]:
    """Rows of plans that were taken, each with those of its quotes, a few at a time."""
    last = ""
    query = (
        select(MOVEMENTS.c.id, MOVEMENTS.c.plan_id, MOVEMENTS.c.occurred_at, PLANS.c.of_quote, PLANS.c.quote_id, PLANS.c.document)
        .join(PLANS, PLANS.c.id == MOVEMENTS.c.plan_id)
        .where(MOVEMENTS.c.type == "take", MOVEMENTS.c.reversed == 0)
        .order_by(MOVEMENTS.c.id)
        .limit(AT_ONCE)
    )
    while rows := connection.execute(query.where(MOVEMENTS.c.id > last)).all():
        yield [(_went(row, plan := _read(row.document)), list(_of_quotes(connection, row, plan))) for row in rows]
        last = rows[-1].id


def _went(row: Any, plan: Json) -> Json:
    totals = plan.get("totals") or {}
    return {"day": row.occurred_at[:10], "plan_id": row.plan_id, **{name: _thousandths(totals, name) for name, _ in WENT}}


def _thousandths(totals: Json, name: str) -> int | None:
    if name not in totals:
        return 0 if totals else None
    try:
        return round(Decimal(totals[name]["mm"]) * 1000)
    except (InvalidOperation, KeyError, TypeError, ValueError):
        return None


def _of_quotes(connection: Any, row: Any, plan: Json) -> Iterator[Json]:
    own = row.of_quote or row.quote_id
    ids = {own} if own else {each["id"] for each in plan.get("quotes") or () if isinstance(each, dict) and isinstance(each.get("id"), str)}
    for quote_id in sorted(ids):
        document = connection.execute(select(QUOTES.c.document).where(QUOTES.c.id == quote_id)).scalar_one_or_none()
        if document is not None:
            yield {"day": row.occurred_at[:10], "quote_id": quote_id, "plan_id": row.plan_id, "priced": _priced(_read(document))}


def _priced(quote: Json) -> int | None:
    try:
        return sum(
            round(Decimal(each["quantity"]) * 1_000_000) for each in quote["lines"] if (each["group"], each["unit"]) == ("waste", "m")
        )
    except (InvalidOperation, KeyError, TypeError, ValueError):
        return None


def _read(content: bytes) -> Json:
    """JSON, packed or not; empty where it cannot be read."""
    try:
        plain = bytes(content)
        found = orjson.loads(plain if plain.startswith(b"{") else gzip.decompress(plain))
    except (OSError, EOFError, zlib.error, ValueError):
        return {}
    return found if isinstance(found, dict) else {}
