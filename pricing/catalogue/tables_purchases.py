"""The table of purchases: articles, suppliers, packs and costs, confidential to the shop.

The table counts towards neither the catalogue's version nor that of the prices, and it appears in no listing, quote or paper: only
`pricing.purchasing` reads it. Rows are dated like prices, and old rows are kept.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from pricing import rows
from pricing.catalogue import cells
from pricing.catalogue.cells import Cell, choice, integer, plain
from pricing.catalogue.schema import Column, Table
from pricing.units import parse_length

PIECES = "each"
METRES = "m"
_PIECES = re.compile(r"([0-9]{1,6}) ?each", re.ASCII)


def _amount(text: str) -> rows.Amount:
    """Raises ValueError, also for an amount of 0."""
    if match := _PIECES.fullmatch(text):
        if not int(match[1]):
            raise ValueError(text)
        return rows.Amount(Decimal(match[1]), PIECES)
    return rows.Amount(parse_length(text) / 1000, METRES)


def _cost(text: str) -> Decimal:
    value: Decimal = cells.MONEY.read(text)
    if not value:
        raise ValueError(text)
    return value


def _shown(value: Any, text: str) -> cells.Json:
    return {"amount": plain(value.number), "unit": value.unit, "text": text}


AMOUNT = Cell(_amount, "a length with its unit for wire, such as '250 ft', or a number of pieces, such as '10 each'; above 0", _shown)
COST = Cell(_cost, "the cost of a metre or a piece, above 0, such as 12.50", cells.MONEY.show)

PURCHASES = Table(
    "purchases", rows.Purchase,
    (
        Column("sku", cells.TEXT, to=("*", "sku")),
        Column("supplier", cells.TEXT),
        Column("order_number", cells.TEXT),
        Column("pack_size", AMOUNT),
        Column("lead_time_days", integer()),
        Column("cost", COST),
        Column("currency", cells.CURRENCY, blank=True),
        Column("from_day", cells.DAY),
        Column("until", cells.DAY, blank=True),
        Column("minimum_order", AMOUNT, blank=True),
        Column("preferred", choice("yes", "no"), blank=True, empty="no"),
        Column("reorder_below", AMOUNT, blank=True),
        Column("source", cells.TEXT),
    ),
    key=("sku", "supplier", "order_number", "from_day"), part_of="purchases", later=True,
)  # fmt: skip
