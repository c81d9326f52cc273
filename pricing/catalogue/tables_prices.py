"""The tables of the shop's own decisions: prices, price lists, tax, freight, terms. Rows are dated; old rows stay."""

from __future__ import annotations

from pricing.catalogue import cells, rows
from pricing.catalogue.cells import Cell, choice, decimal, integer
from pricing.catalogue.schema import Column, Table

GROUPS = ("wire", "fitting", "labour", "waste", "freight", "order")

FROM_DAY = Column("from_day", cells.DAY)
SOURCE = Column("source", cells.TEXT)

PRICES = Table(
    "prices", rows.Price,
    (
        Column("sku", cells.TEXT, to=("*", "sku")),
        Column("unit", choice("each", "m")),
        FROM_DAY,
        Column("from_quantity", cells.QUANTITY),
        Column("unit_price", cells.MONEY),
        SOURCE,
    ),
    key=("sku", "from_day", "from_quantity"), part_of="prices",
)  # fmt: skip

PRICE_LISTS = Table(
    "price_lists", rows.Discount,
    (
        Column("price_list", cells.TEXT),
        Column("group", choice("wire", "fitting", "labour", "waste")),
        FROM_DAY,
        Column("percent", cells.PERCENT),
        SOURCE,
    ),
    key=("price_list", "group", "from_day"), part_of="prices", complete=("price_list", ("retail",)),
)  # fmt: skip

TAX = Table(
    "tax", rows.Tax,
    (
        Column("group", choice(*GROUPS)),
        Column("category", choice("S", "Z", "E", "AE", "K", "G", "O", "L", "M")),
        FROM_DAY,
        Column("rate", cells.PERCENT, "rate_percent"),
        SOURCE,
    ),
    key=("group", "from_day"), part_of="prices", complete=("group", GROUPS),
)  # fmt: skip

FREIGHT = Table(
    "freight", rows.Freight,
    (
        Column("up_to_mass", cells.MASS, "up_to_kg"),
        Column("up_to_coil", cells.LENGTH),
        Column("price", cells.MONEY),
        FROM_DAY,
        SOURCE,
    ),
    key=("up_to_mass", "up_to_coil", "from_day"), part_of="prices",
)  # fmt: skip

# What each term must read as: its value and its unit. No unit named here (None): value and unit together are a length.
TERM_CELLS: dict[str, tuple[Cell, str | None]] = {
    "currency": (cells.CURRENCY, ""),
    "validity_days": (integer(1), "day"),
    "lead_time_days": (integer(), "day"),
    "centred_share": (decimal("a share from 0.5 to 1", most=1, least="0.5"), ""),
    "waste_policy": (choice("measured", "flat"), ""),
    "waste_percent": (cells.PERCENT, "%"),
    "scrap_cap_percent": (cells.PERCENT, "%"),
    "cut_allowance": (cells.LENGTH_OR_0, None),
    "least_rest": (cells.LENGTH_OR_0, None),
    "touch_cost": (cells.MONEY, ""),
    "opening_cost": (cells.MONEY, ""),
    "rest_fee": (cells.MONEY, ""),
    "tolerance": (cells.LENGTH, None),
    "reading_limit": (cells.LENGTH, None),
    "pair_limit": (cells.LENGTH, None),
    "minimum_order": (cells.MONEY, ""),
    "stop_clearance_diameters": (decimal("a number of wire diameters of 0 or more"), ""),
    "bedding_in_percent": (cells.PERCENT, "%"),
    "inch_resolution": (cells.LENGTH, None),
    "metric_resolution": (cells.LENGTH, None),
    "shop_timezone": (cells.TEXT, ""),
    "seller": (cells.TEXT, ""),
    "price_breaks": (choice("per_boat", "fleet"), ""),
    "seller_street": (cells.TEXT, ""),
    "seller_city": (cells.TEXT, ""),
    "seller_postal_code": (cells.TEXT, ""),
    "seller_region": (cells.TEXT, ""),
    "seller_country": (cells.COUNTRY, ""),
    "seller_phone": (cells.TEXT, ""),
    "seller_email": (cells.TEXT, ""),
    "seller_tax_number": (cells.TEXT, ""),
    "seller_legal": (cells.TEXT, ""),
}
MAY_LACK = frozenset(
    {"price_breaks", *(name for name in TERM_CELLS if name.startswith("seller_"))}
)  # tables of before they were there are good

TERMS = Table(
    "terms", rows.Term,
    (
        Column("key", choice(*TERM_CELLS)),
        Column("value", cells.TEXT),
        Column("unit", cells.TEXT, blank=True, empty=""),
        FROM_DAY,
        SOURCE,
    ),
    key=("key", "from_day"), part_of="prices", complete=("key", tuple(name for name in TERM_CELLS if name not in MAY_LACK)),
)  # fmt: skip

PRICE_TABLES = (PRICES, PRICE_LISTS, TAX, FREIGHT, TERMS)
