"""An invented shop of a few rows, small enough to compute by hand.

Wire 4.00 a metre, 3.60 from 50 m, 3.20 from 100 m; from July 4.20 whatever the length. Terminal 18.50, from ten on 16.65. Swage 9.25.
Trade: 10 % off wire and waste, 7.5 % off fittings, nothing off labour. Tax 20 %, on labour 9 %. Minimum order 60.00.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from pricing.costing.rates import PriceTable
from pricing.costing.rules import Demand
from pricing.rows import Discount, Freight, Price, Tax, Term

D = Decimal
NEW_YEAR, JULY = date(2026, 1, 1), date(2026, 7, 1)
SOURCE = "invented test data"

PRICES = (
    Price("W5", "m", NEW_YEAR, D(0), D("4.00"), SOURCE),
    Price("W5", "m", NEW_YEAR, D(50), D("3.60"), SOURCE),
    Price("W5", "m", NEW_YEAR, D(100), D("3.20"), SOURCE),
    Price("W5", "m", JULY, D(0), D("4.20"), SOURCE),
    Price("T5", "each", NEW_YEAR, D(1), D("18.50"), SOURCE),
    Price("T5", "each", NEW_YEAR, D(10), D("16.65"), SOURCE),
    Price("L5", "each", NEW_YEAR, D(0), D("9.25"), SOURCE),
)
DISCOUNTS = (
    Discount("retail", "wire", NEW_YEAR, D(0), SOURCE),
    Discount("trade", "wire", NEW_YEAR, D(10), SOURCE),
    Discount("trade", "waste", NEW_YEAR, D(10), SOURCE),
    Discount("trade", "fitting", NEW_YEAR, D("7.5"), SOURCE),
    Discount("fleet", "wire", JULY, D(15), SOURCE),
)
TAX = (
    *(Tax(group, "S", NEW_YEAR, D(20), SOURCE) for group in ("wire", "fitting", "waste", "freight", "order")),
    Tax("labour", "S", NEW_YEAR, D(9), SOURCE),
)
FREIGHT = (
    Freight(D(30), D(600), D("20.00"), NEW_YEAR, SOURCE),
    Freight(D(5), D(600), D("12.00"), NEW_YEAR, SOURCE),
    Freight(D(30), D(1200), D("35.50"), NEW_YEAR, SOURCE),
    Freight(D(30), D(1200), D("40.00"), JULY, SOURCE),
)
TERMS = tuple(
    Term(key, value, unit, NEW_YEAR, SOURCE)
    for key, value, unit in (
        ("currency", "EUR", ""),
        ("validity_days", "30", ""),
        ("lead_time_days", "10", "days"),
        ("centred_share", "0.5", ""),
        ("waste_policy", "measured", ""),
        ("waste_percent", "4", "%"),
        ("scrap_cap_percent", "10", "%"),
        ("cut_allowance", "25", "mm"),
        ("minimum_remnant", "1", "m"),
        ("touch_cost", "2", ""),
        ("opening_cost", "5", ""),
        ("remnant_fee", "3", ""),
        ("tolerance", "3", "mm"),
        ("reading_limit", "1/4", "in"),
        ("pair_limit", "6", "mm"),
        ("minimum_order", "60.00", ""),
        ("stop_clearance_diameters", "10", ""),
        ("bedding_in_percent", "0.05", ""),
        ("inch_resolution", "1/16", "in"),
        ("metric_resolution", "1", "mm"),
        ("shop_timezone", "Europe/Lisbon", ""),
        ("seller", "Tern Point Rigging", ""),
        ("seller_street", "3 Slip Road", ""),
        ("seller_country", "PT", ""),
    )
)


def demand(article: str, quantity: str, **more: object) -> Demand:
    """`demand("wire", "12.5", cuts=2)`: one of the three articles of the shop."""
    sku, group, unit = {"wire": ("W5", "wire", "m"), "terminal": ("T5", "fitting", "each"), "swage": ("L5", "labour", "each")}[article]
    usual = {"sku": sku, "name": article, "group": group, "quantity": D(quantity), "unit": unit}
    return Demand(**(usual | more))  # type: ignore[arg-type]


def build(**tables: object) -> PriceTable:
    """The shop's table with some of its rows exchanged."""
    rows = {"prices": PRICES, "discounts": DISCOUNTS, "tax": TAX, "freight": FREIGHT, "terms": TERMS} | tables
    return PriceTable(**rows)  # type: ignore[arg-type]


def terms_with(**values: tuple[str, str] | None) -> tuple[Term, ...]:
    """The shop's terms with some replaced or added, `key=(value, unit)`, or left out, `key=None`."""
    kept = (row for row in TERMS if values.get(row.key, "") is not None)
    exchanged = [replace(row, value=new[0], unit=new[1]) if (new := values.get(row.key)) else row for row in kept]
    there = {row.key for row in TERMS}
    added = [Term(key, *new, NEW_YEAR, SOURCE) for key, new in values.items() if new is not None and key not in there]
    return (*exchanged, *added)
