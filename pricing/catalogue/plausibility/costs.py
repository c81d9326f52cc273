"""What the shop pays: a cost that the selling price does not cover, a cost that is next to nothing, and reels that no cutting plan buys."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from pricing.catalogue.cells import plain
from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

LEAST_SHARE = Decimal("0.1")  # of the selling price: a slip of ten is below it; common practice, no source


class _Break(NamedTuple):
    from_day: date
    from_quantity: Decimal
    unit_price: Decimal


def costs(examined: Examined) -> Iterator[Doubt]:
    """A cost above a selling price of the same day or of the newest one, and a cost far below every one."""
    breaks: dict[str, list[_Break]] = {}
    for _, (sku, day, quantity, price) in examined.sheets["prices"].rows(("sku", "from_day", "from_quantity", "unit_price")):
        breaks.setdefault(sku, []).append(_Break(day, quantity, price))
    for at, (_, (sku, cost, day)) in enumerate(examined.sheets["purchases"].rows(("sku", "cost", "from_day"))):
        sold = list(_sold(breaks.get(sku, []), day))
        below = [each for each in sold if each.unit_price < cost]
        if below:
            least = min(below, key=lambda each: (each.from_day, each.from_quantity))
            sells = f"from a quantity of {plain(least.from_quantity)} it is sold for {least.unit_price:f}"
            yield examined.doubt("purchases", at, "cost", f"at most {least.unit_price:f}", f"{sells}, below what it costs")
        elif sold and cost < LEAST_SHARE * min(each.unit_price for each in sold):
            sells = f"it is sold for {min(each.unit_price for each in sold):f}"
            yield examined.doubt("purchases", at, "cost", "the cost of a metre or a piece", f"{sells}, more than ten times what it costs")


def _sold(breaks: list[_Break], day: date) -> Iterator[_Break]:
    """The breaks in force on the day, or else from the first day on, and the newest ones."""
    days = sorted({each.from_day for each in breaks})
    wanted = {max((each for each in days if each <= day), default=days[0]), days[-1]} if days else set()
    return (each for each in breaks if each.from_day in wanted)


def reels(examined: Examined) -> Iterator[Doubt]:
    """A wire is bought in a length that spools.csv does not list: cutting plans buy other lengths than the order would name."""
    listed: dict[str, set[Decimal]] = {}
    for _, (wire, length) in examined.sheets["spools"].rows(("wire", "length")):
        listed.setdefault(wire, set()).add(length)
    for at, (_, (sku, pack)) in enumerate(examined.sheets["purchases"].rows(("sku", "pack_size"))):
        if sku in listed and pack.unit == "m" and pack.number * 1000 not in listed[sku]:
            lengths = ", ".join(f"{plain(each / 1000)} m" for each in sorted(listed[sku]))
            yield examined.doubt(
                "purchases", at, "pack_size", lengths, "spools.csv does not list this length, so that cutting plans count on others"
            )
