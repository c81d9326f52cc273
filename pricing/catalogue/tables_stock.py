"""Wire to cut from: the lengths that can be bought, at dated prices, and the wire in stock.

Stock changes with every cut, so it counts towards neither the catalogue's version nor that of the prices.
"""

from __future__ import annotations

from pricing import rows
from pricing.catalogue import cells
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
