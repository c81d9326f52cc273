"""The shop's terms: each in its plausible range, money against the price of the shop's work; and implausible dates."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.tables_prices import TERM_CELLS
from pricing.errors import Doubt

MM, DAYS, PERCENT, SHARE = "mm", "days", "%", ""
# Least, greatest and unit of each term; 0 is also allowed for terms in OFF. Common practice, no source.
RANGES: dict[str, tuple[str, str, str]] = {
    "validity_days": ("5", "120", DAYS), "lead_time_days": ("1", "60", DAYS), "centred_share": ("0.5", "0.8", SHARE), "waste_percent": ("1", "25", PERCENT),
    "scrap_cap_percent": ("1", "30", PERCENT), "cut_allowance": ("0.5", "25", MM), "minimum_remnant": ("200", "10000", MM), "tolerance": ("0.5", "12", MM),
    "reading_limit": ("0.5", "20", MM), "pair_limit": ("2", "40", MM), "kept_within": ("1", "40", MM), "stop_clearance_diameters": ("3", "40", "diameters"),
    "bedding_in_percent": ("0.01", "0.3", PERCENT), "inch_resolution": ("0.35", "3.2", MM), "metric_resolution": ("0.4", "5", MM), "repeatability": ("0.2", "5", MM),
    "tolerance_turnbuckle": ("0.5", "25", MM), "tolerance_pair": ("0.5", "12", MM), "doubt_limit": ("1", "25", MM), "doubt_limit_turnbuckle": ("1.5", "50", MM),
    "doubt_limit_pair": ("1", "25", MM), "temperature_within": ("0.5", "12", "K"), "temperature_unsaid_within": ("3", "30", "K"), "pull_within_percent": ("2", "50", PERCENT),
    "tension_within_percent": ("3", "60", PERCENT), "properties_within_percent": ("1", "25", PERCENT), "coldest": ("-50", "15", "degC"), "warmest": ("20", "65", "degC"),
    "hand_pull": ("60", "900", "N"), "tension_percent": ("8", "60", PERCENT), "cap_share_least": ("0.2", "1.2", SHARE), "cap_share_most": ("1", "4", SHARE),
    "lower_share_least": ("0.1", "0.6", SHARE), "lower_share_most": ("0.5", "2.5", SHARE), "stay_share_least": ("0.2", "1.2", SHARE), "stay_share_most": ("1", "4", SHARE),
    "mizzen_cap_share_least": ("0.1", "0.8", SHARE), "mizzen_lower_share_least": ("0.05", "0.5", SHARE), "lifeline_share_most": ("0.4", "3", SHARE),
    "wire_per_metre_least": ("0.08", "0.6", MM), "wire_per_metre_most": ("0.7", "4", MM), "bare_end_most": ("100", "2000", MM),
}  # fmt: skip
OFF = frozenset(
    {
        "cut_allowance",
        "minimum_remnant",
        "bedding_in_percent",
        "stop_clearance_diameters",
        "waste_percent",
        "scrap_cap_percent",
        "lead_time_days",
    }
)
# money as multiples of the median price of the shop's work: common practice, no source
MONEY = {"touch_cost": (0.03, 1.2), "opening_cost": (0.08, 3.0), "remnant_fee": (0.05, 2.5), "minimum_order": (0.5, 20.0)}
ORDERS = (
    ("cap_share_most", "cap_share_least"), ("lower_share_most", "lower_share_least"), ("stay_share_most", "stay_share_least"), ("warmest", "coldest"),
    ("wire_per_metre_most", "wire_per_metre_least"), ("temperature_unsaid_within", "temperature_within"),
)  # fmt: skip


def terms(examined: Examined) -> Iterator[Doubt]:
    """Each term in its range, and pairs in their order."""
    work = _usual_work(examined)
    latest: dict[str, tuple[int, Decimal]] = {}
    for at, (_, (key, text, unit)) in enumerate(examined.sheets["terms"].rows(("key", "value", "unit"))):
        value = _read(key, text, unit)
        if value is None:
            continue
        latest[key] = at, value
        if key in RANGES:
            yield from _in_range(examined, at, key, value)
        elif key in MONEY and work:
            low, high = (work * Decimal(str(share)) for share in MONEY[key])
            if value and not low <= value <= high:
                reason = f"{key} {text} where the shop's work costs about {work:g} an operation"
                yield examined.doubt("terms", at, "value", f"{low:.2f} to {high:.2f}, or 0", reason)
    for larger, smaller in ORDERS:
        if larger in latest and smaller in latest and latest[larger][1] <= latest[smaller][1]:
            yield examined.doubt("terms", latest[larger][0], "value", f"more than {smaller}", f"{larger} is no more than {smaller}")


def _in_range(examined: Examined, at: int, key: str, value: Decimal) -> Iterator[Doubt]:
    low, high, unit = RANGES[key]
    if not (Decimal(low) <= value <= Decimal(high) or (value == 0 and key in OFF)):
        plain = f"{float(value):g} {unit}".strip()
        usual = f"{low} to {high} {unit}".strip() + " (common practice, no source)"
        yield examined.doubt("terms", at, "value", usual, f"{key} of {plain} where shops have {low} to {high} {unit}".strip())


def _read(key: str, text: str, unit: str) -> Decimal | None:
    cell, wanted = TERM_CELLS[key]
    value: Any = cell.read(f"{text} {unit}" if wanted is None else text)
    return Decimal(value) if isinstance(value, int | Decimal) else None


def _usual_work(examined: Examined) -> Decimal:
    labour = set(examined.sheets["labour"].values["sku"])
    prices = sorted(price for _, (sku, price) in examined.sheets["prices"].rows(("sku", "unit_price")) if sku in labour)
    return prices[len(prices) // 2] if prices else Decimal(0)


BEFORE, AFTER = 15, 10  # years from the edition's day: common practice, no source


def days(examined: Examined) -> Iterator[Doubt]:
    """Days far from the edition's own: a digit that slipped, or a day that never comes."""
    issued = examined.sheets["edition"].values["day"]
    for kind, sheet in examined.sheets.items():
        for at, day in enumerate(sheet.values.get("from_day", ())):
            if issued and not issued[0].year - BEFORE <= day.year <= issued[0].year + AFTER:
                expected = f"a day from {issued[0].year - BEFORE} to {issued[0].year + AFTER}"
                yield examined.doubt(kind, at, "from_day", expected, f"{day} is far from the edition's own day, {issued[0]}")
