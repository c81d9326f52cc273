"""The shop's own decisions: work by size class, prices over time, price lists, tax, freight, terms. All invented."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pricing.data.recipes.common import INVENTED, Row, money

FIRST, SECOND = "2026-01-01", "2026-07-01"
RISE = {FIRST: Fraction(1), SECOND: Fraction(104, 100)}
BREAKS = {"m": (("0", 100), ("50", 94), ("200", 88)), "each": (("1", 100), ("10", 95)), "work": (("1", 100),), "hour": (("0", 100),)}
UNITS = {"m": "m", "hour": "hour"}

# operation: (title, (up to mm, minutes, price) per size class). Each class begins where the one before ends; the first begins at 0.
WORK = {
    "swage": ("Swage a terminal", (("3.2", 5, 9), ("5", 6, 12), ("7.2", 8, 16), ("9.6", 11, 24), ("14", 16, 38))),
    "compression": ("Fit a compression terminal", (("5", 15, 18), ("7.2", 20, 24), ("9.6", 25, 32), ("14", 35, 46))),
    "press": ("Press an oval sleeve", (("3.2", 2, 4), ("5", 3, 6), ("8", 4, 8))),
    "stop": ("Fit a ball stop", (("4", 4, 7), ("6.4", 6, 10))),
    "assembly": ("Cut and assemble", (("5", 6, 8), ("9.6", 8, 12), ("14", 12, 20))),
    "proof_pull": ("Proof pull", (("9.6", 10, 15), ("14", 15, 25))),
    "tag": ("Tag an assembly", (("14", 1, 1),)),
    "strip": ("Strip the cover off an end", (("5", 3, 4),)),
}
# the shop's own work, by code: (name, counted by, time, price); work by the hour takes an hour
OWN_WORK = {
    "call_out": ("Call-out to the boat", "quote", "45 min", "60"),
    "mast_off_and_on": ("Mast off and on", "quote", "3 h", "240"),
    "inspection": ("Inspection of the rig aloft", "hour", "", "72"),
    "measure_old_wire": ("Measure an old wire in the loft", "assembly", "8 min", "10"),
    "tail_splice": ("Wire-to-rope tail splice", "each", "20 min", "28"),
}
LISTS = {"retail": (0, 0, 0, 0), "trade": (15, 20, 10, 0), "fleet": (22, 28, 15, 0)}
GROUPS = ("wire", "fitting", "labour", "waste")
TAX = (  # group, category (UNCL5305), from day, rate; a new rate is a new row with a later day
    ("wire", "S", FIRST, "7"), ("fitting", "S", FIRST, "7"), ("waste", "S", FIRST, "7"), ("freight", "S", FIRST, "7"),
    ("order", "S", FIRST, "7"), ("labour", "Z", FIRST, "0"),
)  # fmt: skip
FREIGHT = (
    ("2 kg", "400 mm", "9.50"), ("2 kg", "700 mm", "14.00"), ("10 kg", "700 mm", "22.00"), ("10 kg", "1200 mm", "38.00"),
    ("30 kg", "1200 mm", "55.00"), ("30 kg", "2200 mm", "95.00"), ("250 kg", "2200 mm", "180.00"),
)  # fmt: skip
TERMS = (
    ("currency", "USD", ""), ("validity_days", "30", "day"), ("lead_time_days", "7", "day"), ("centred_share", "0.55", ""),
    ("waste_policy", "measured", ""), ("waste_percent", "5", "%"), ("scrap_cap_percent", "8", "%"), ("cut_allowance", "3", "mm"),
    ("minimum_remnant", "1.5", "m"), ("touch_cost", "2.00", ""), ("opening_cost", "6.00", ""), ("remnant_fee", "4.00", ""), ("tolerance", "3", "mm"),
    ("pair_limit", "10", "mm"), ("kept_within", "5", "mm"), ("minimum_order", "40.00", ""), ("stop_clearance_diameters", "10", ""),
    ("bedding_in_percent", "0.04", "%"), ("inch_resolution", "1/16", "in"), ("metric_resolution", "1", "mm"),
    ("shop_timezone", "America/New_York", ""), ("seller", "Halfmoon Cove Rigging Loft", ""),
    ("repeatability", "1", "mm"), ("tolerance_turnbuckle", "3", "mm"), ("tolerance_pair", "3", "mm"),
    ("doubt_limit", "5", "mm"), ("doubt_limit_turnbuckle", "10", "mm"), ("doubt_limit_pair", "5", "mm"),
    ("temperature_within", "3", "K"), ("temperature_unsaid_within", "10", "K"), ("pull_within_percent", "15", "%"), ("tension_within_percent", "20", "%"),
    ("properties_within_percent", "5", "%"), ("coldest", "-15", "degC"), ("warmest", "45", "degC"), ("hand_pull", "300", "N"), ("tension_percent", "25", "%"),
    ("seller_street", "14 Net Loft Lane", ""), ("seller_city", "Halfmoon Cove", ""), ("seller_region", "RI", ""), ("seller_postal_code", "00000", ""),
    ("seller_country", "US", ""), ("seller_phone", "+1 401 555 0142", ""), ("seller_email", "loft@halfmoon-cove.example", ""),
    ("seller_tax_number", "00-0000000", ""), ("seller_legal", "This shop is invented for demonstration: it sells nothing.", ""),
    ("payment_terms", "Half on acceptance, the rest on collection or before the work is sent.", ""), ("fittings_priced", "together", ""),
)  # fmt: skip
PLAUSIBLE = (
    ("cap_share_least", "0.5", ""), ("cap_share_most", "1.9", ""), ("lower_share_least", "0.25", ""), ("lower_share_most", "1.1", ""),
    ("stay_share_least", "0.5", ""), ("stay_share_most", "2.2", ""), ("mizzen_cap_share_least", "0.3", ""),
    ("mizzen_lower_share_least", "0.15", ""), ("lifeline_share_most", "1.1", ""), ("wire_per_metre_least", "0.25", "mm"),
    ("wire_per_metre_most", "1.5", "mm"), ("bare_end_most", "500", "mm"),
)  # fmt: skip
MEMORY = "from memory, tried on made-up boats"


def edition() -> list[Row]:
    """edition.csv."""
    return [{"name": "Demo catalogue of an invented rig shop", "day": FIRST, "source": INVENTED}]


def labour() -> list[Row]:
    """labour.csv."""
    rows = []
    for operation, (title, classes) in WORK.items():
        over = "0"
        for letter, (up_to, minutes, price) in zip("ABCDE", classes, strict=False):
            rows.append({
                "sku": f"WORK-{operation.replace('_', '-').upper()}-{letter}",
                "name": f"{title}, wire over {over} up to {up_to} mm",
                "operation": operation,
                "over": f"{over} mm",
                "up_to": f"{up_to} mm",
                "time": f"{minutes} min",
                "source": INVENTED,
                "_price": money(Fraction(price)),
            })  # fmt: skip
            over = up_to
    return rows + [
        {
            "sku": f"WORK-{operation.replace('_', '-').upper()}", "name": name, "operation": operation, "time": time, "source": INVENTED,
            "counted_by": counted_by, "_price": money(Fraction(price)),
        }
        for operation, (name, counted_by, time, price) in OWN_WORK.items()
    ]  # fmt: skip


def prices(articles: Iterable[tuple[str, str, str]]) -> list[Row]:
    """prices.csv, from (sku, kind of breaks, base price): `m` wire by the metre, `each` fittings, `work` labour by the piece, `hour` by the hour."""
    return [
        {
            "sku": sku,
            "unit": UNITS.get(kind, "each"),
            "from_day": day,
            "from_quantity": quantity,
            "unit_price": money(Fraction(base) * RISE[day] * percent / 100),
            "source": INVENTED,
        }
        for sku, kind, base in articles
        for day in (FIRST, SECOND)
        for quantity, percent in BREAKS[kind]
    ]


def price_lists() -> list[Row]:
    """price_lists.csv."""
    return [
        {"price_list": name, "group": group, "from_day": FIRST, "percent": str(percent), "source": INVENTED}
        for name, percents in LISTS.items()
        for group, percent in zip(GROUPS, percents, strict=True)
    ]


def tax() -> list[Row]:
    """tax.csv: goods and what goes with them at the standard rate, labour at zero."""
    names = ("group", "category", "from_day", "rate")
    return [{**dict(zip(names, row, strict=True)), "source": INVENTED} for row in TAX]


def freight() -> list[Row]:
    """freight.csv, cheapest first."""
    return [
        {"up_to_mass": mass, "up_to_coil": coil, "price": price, "from_day": FIRST, "source": INVENTED} for mass, coil, price in FREIGHT
    ]


def terms() -> list[Row]:
    """terms.csv."""
    sources = ((TERMS, INVENTED), (PLAUSIBLE, MEMORY))
    return [
        {"key": key, "value": value, "unit": unit, "from_day": FIRST, "source": source}
        for rows, source in sources
        for key, value, unit in rows
    ]
