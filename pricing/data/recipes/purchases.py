"""The invented shop's purchases: suppliers, packs and costs. All invented, suppliers and order numbers included."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from pricing.data.recipes.common import INVENTED, Row, money
from pricing.data.recipes.shelf import COST, OPENED, lengths
from pricing.data.recipes.shop import FIRST

WIRE = "Tidewater Wire (invented)"
FITTINGS = "Gull Point Fittings (invented)"
SMALL_PARTS = "Second Cove Chandlery Supply (invented)"
REORDER_BELOW = "40 m"
# table: (supplier, pieces per pack, lead time in days, cost as a share of the single price, minimum order in pieces).
# Backing plates have no supplier: a purchase list shows such articles separately.
BOUGHT: Mapping[str, tuple[tuple[str, int, int, Fraction, int], ...]] = {
    "terminals": ((FITTINGS, 1, 10, Fraction(58, 100), 0),),
    "turnbuckle_bodies": ((FITTINGS, 1, 10, Fraction(57, 100), 0),),
    "screws": ((FITTINGS, 1, 10, Fraction(57, 100), 0),),
    "locknuts": ((FITTINGS, 10, 10, Fraction(50, 100), 0),),
    "links": ((FITTINGS, 2, 14, Fraction(60, 100), 0),),
    "balls": ((FITTINGS, 5, 14, Fraction(55, 100), 10),),
    "cones": ((FITTINGS, 10, 10, Fraction(52, 100), 0),),
    "thimbles": ((SMALL_PARTS, 10, 5, Fraction(48, 100), 0),),
    "sleeves": ((SMALL_PARTS, 50, 5, Fraction(45, 100), 0),),
    "pins": ((FITTINGS, 10, 10, Fraction(50, 100), 0), (SMALL_PARTS, 5, 3, Fraction(62, 100), 0)),
    "cotters": ((SMALL_PARTS, 100, 3, Fraction(40, 100), 0),),
}


def purchases(parts: Mapping[str, Iterable[Row]]) -> list[Row]:
    """purchases.csv; the first supplier of a table is the preferred one."""
    wires = [row for wire in parts["wires"] for row in _wire(wire)]
    return wires + [row for table in BOUGHT for article in parts[table] for row in _pieces(table, article)]


def _wire(wire: Row) -> Iterable[Row]:
    for length, share in lengths(wire).items():
        yield {
            **_head(wire, WIRE, f"TW-{wire['sku'].removeprefix('WIRE-')}-{length.replace(' ', '').upper()}"),
            "pack_size": length, "lead_time_days": "12", "cost": money(Fraction(wire["_price"]) * COST * share), "preferred": "yes",
            "reorder_below": REORDER_BELOW if wire["sku"] in OPENED else "",
        }  # fmt: skip


def _pieces(table: str, article: Row) -> Iterable[Row]:
    for place, (supplier, pack, days, share, least) in enumerate(BOUGHT[table]):
        letters = "GP" if supplier == FITTINGS else "SC"
        yield {
            **_head(article, supplier, f"{letters}-{article['sku']}"),
            "pack_size": f"{pack} each", "lead_time_days": str(days), "cost": money(Fraction(article["_price"]) * share),
            "minimum_order": f"{least} each" if least else "", "preferred": "no" if place else "yes",
        }  # fmt: skip


def _head(article: Row, supplier: str, number: str) -> Row:
    return {"sku": article["sku"], "supplier": supplier, "order_number": number, "from_day": FIRST, "source": INVENTED}
