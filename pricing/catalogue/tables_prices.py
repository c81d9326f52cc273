"""The tables of the shop's own decisions: prices, price lists, tax, freight, terms. Rows are dated, and old rows are kept."""

from __future__ import annotations

from pricing import rows
from pricing.catalogue import cells
from pricing.catalogue.cells import Cell, choice, decimal, integer
from pricing.catalogue.schema import Column, Table

GROUPS = ("wire", "fitting", "labour", "waste", "freight", "order")

FROM_DAY = Column("from_day", cells.DAY)
SOURCE = Column("source", cells.TEXT)

PRICES = Table(
    "prices", rows.Price,
    (
        Column("sku", cells.TEXT, to=("*", "sku")),
        Column("unit", choice("each", "m", "hour")),
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

# Plausible wire lengths, as shares of the hull's length, and plausible sizes.
PLAUSIBLE: dict[str, tuple[Cell, str | None]] = {
    **dict.fromkeys(
        (
            "cap_share_least", "cap_share_most", "lower_share_least", "lower_share_most", "stay_share_least", "stay_share_most",
            "mizzen_cap_share_least", "mizzen_lower_share_least", "lifeline_share_most",
        ),
        (decimal("a share of the hull's length from 0 to 10", most=10), ""),
    ),
    "wire_per_metre_least": (cells.LENGTH_OR_0, None),
    "wire_per_metre_most": (cells.LENGTH, None),
    "bare_end_most": (cells.LENGTH, None),
}  # fmt: skip
# The type of each term's value, and its unit. If the unit is None, value and unit are read together.
TERM_CELLS: dict[str, tuple[Cell, str | None]] = {
    "currency": (cells.CURRENCY, ""),
    "validity_days": (integer(1), "day"),
    "lead_time_days": (integer(), "day"),
    "centred_share": (decimal("a share from 0.5 to 1", most=1, least="0.5"), ""),
    "waste_policy": (choice("measured", "flat"), ""),
    "waste_percent": (cells.PERCENT, "%"),
    "scrap_cap_percent": (cells.PERCENT, "%"),
    "cut_allowance": (cells.LENGTH_OR_0, None),
    "minimum_remnant": (cells.LENGTH_OR_0, None),
    "touch_cost": (cells.MONEY, ""),
    "opening_cost": (cells.MONEY, ""),
    "remnant_fee": (cells.MONEY, ""),
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
    "kept_within": (cells.LENGTH, None),
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
    "payment_terms": (cells.TEXT, ""),
    "fittings_priced": (choice("together", "by_assembly"), ""),
    "repeatability": (cells.LENGTH, None),
    "tolerance_turnbuckle": (cells.LENGTH, None),
    "tolerance_pair": (cells.LENGTH, None),
    "doubt_limit": (cells.LENGTH, None),
    "doubt_limit_turnbuckle": (cells.LENGTH, None),
    "doubt_limit_pair": (cells.LENGTH, None),
    "temperature_within": (cells.KELVINS, None),
    "temperature_unsaid_within": (cells.KELVINS, None),
    "pull_within_percent": (cells.PERCENT, "%"),
    "tension_within_percent": (cells.PERCENT, "%"),
    "properties_within_percent": (cells.PERCENT, "%"),
    "coldest": (cells.TEMPERATURE, None),
    "warmest": (cells.TEMPERATURE, None),
    "hand_pull": (cells.NEWTONS, None),
    "tension_percent": (cells.PERCENT, "%"),
    **PLAUSIBLE,
}
_ADDED_SINCE = frozenset(  # older tables without these terms remain valid
    {
        "price_breaks", "kept_within", "repeatability", "tolerance_turnbuckle", "tolerance_pair", "doubt_limit", "doubt_limit_turnbuckle", "doubt_limit_pair",
        "temperature_within", "temperature_unsaid_within", "pull_within_percent", "tension_within_percent", "properties_within_percent",
        "coldest", "warmest", "hand_pull", "tension_percent", "payment_terms", "fittings_priced",
    }
)  # fmt: skip
FORMER_TERMS = (("least_rest", "minimum_remnant"), ("rest_fee", "remnant_fee"))
_GIVEN_UP = frozenset({"reading_limit"})  # still present in older tables, but no longer used
MAY_LACK = frozenset({*_ADDED_SINCE, *_GIVEN_UP, *PLAUSIBLE, *(name for name in TERM_CELLS if name.startswith("seller_"))})
# Parts of the head of a quotation that a shop need not have: a blank value says that there is none, from that day on.
MAY_BE_BLANK = frozenset(name for name in TERM_CELLS if name.startswith("seller_"))

TERMS = Table(
    "terms", rows.Term,
    (
        Column("key", choice(*TERM_CELLS), former=FORMER_TERMS),
        Column("value", cells.TEXT, blank=True, empty=""),
        Column("unit", cells.TEXT, blank=True, empty=""),
        FROM_DAY,
        SOURCE,
    ),
    key=("key", "from_day"), part_of="prices", complete=("key", tuple(name for name in TERM_CELLS if name not in MAY_LACK)),
)  # fmt: skip

PRICE_TABLES = (PRICES, PRICE_LISTS, TAX, FREIGHT, TERMS)
