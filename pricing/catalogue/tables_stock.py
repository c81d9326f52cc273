"""Wire to cut from: the lengths that can be bought, at dated prices, and what lies on the shelf.

The shelf changes with every cut, so it belongs neither to the catalogue's version nor to the prices'.
"""

from __future__ import annotations

from pricing.catalogue import cells, rows
from pricing.catalogue.cells import choice, integer
from pricing.catalogue.schema import Column, Table

ID = Column("id", cells.TEXT)
WIRE = Column("wire", cells.TEXT, to=("wires", "sku"))
LENGTH = Column("length", cells.LENGTH)
SOURCE = Column("source", cells.TEXT)

SPOOLS = Table(
    "spools", rows.Spool, (ID, WIRE, LENGTH, Column("price", cells.MONEY), Column("from_day", cells.DAY), SOURCE),
    key=("id", "from_day"), part_of="prices",
)  # fmt: skip

STOCK = Table(
    "stock", rows.StockRow,
    (
        ID, WIRE,
        Column("kind", choice("new", "opened", "offcut")),
        LENGTH,
        Column("price", cells.MONEY, blank=True),
        Column("price_per_metre", cells.MONEY, blank=True),
        Column("count", integer()),
        Column("touch", cells.MONEY, blank=True),
        SOURCE,
    ),
    key=("id",), part_of="stock",
)  # fmt: skip
