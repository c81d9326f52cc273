"""Purchase costs: above the selling price or next to nothing; reels that no cutting plan buys; odd lead times and pack sizes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, NamedTuple

from pricing.catalogue.cells import plain
from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

if TYPE_CHECKING:
    from pandas import Series

LEAST_SHARE = Decimal("0.1")  # of the selling price: a slip of ten is below it; common practice, no source


class _Break(NamedTuple):
    from_day: date
    from_quantity: Decimal
    unit_price: Decimal


def costs(examined: Examined) -> Iterator[Doubt]:
    """A cost above a selling price of the same day or of the newest prices, or far below all of them."""
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
    """A wire bought in a length that spools.csv does not list: cutting plans would count on other lengths than the order."""
    listed: dict[str, set[Decimal]] = {}
    for _, (wire, length) in examined.sheets["spools"].rows(("wire", "length")):
        listed.setdefault(wire, set()).add(length)
    for at, (_, (sku, pack)) in enumerate(examined.sheets["purchases"].rows(("sku", "pack_size"))):
        if sku in listed and pack.unit == "m" and pack.number * 1000 not in listed[sku]:
            lengths = ", ".join(f"{plain(each / 1000)} m" for each in sorted(listed[sku]))
            yield examined.doubt(
                "purchases", at, "pack_size", lengths, "spools.csv does not list this length, so that cutting plans count on others"
            )


ALIKE = 3  # times a supplier's usual lead time: common practice, no source
MANY = 8  # rows of a supplier before one is compared with the others
LONGEST = 180  # days
USED = 20  # a pack size that one row in so many has is usual


def orders(examined: Examined) -> Iterator[Doubt]:
    """Lead times and pack sizes far from the other rows of the supplier."""
    frame = examined.frame("purchases")
    for at in frame.index[frame["lead_time_days"] > LONGEST]:
        days = frame["lead_time_days"][at]
        yield examined.doubt(
            "purchases", at, "lead_time_days", f"at most {LONGEST} (common practice, no source)", f"{days} days until it comes"
        )
    for supplier, own in frame.groupby("supplier", sort=False):
        if len(own) >= MANY:
            usual = float(own["lead_time_days"].median())
            for at in own.index[(own["lead_time_days"] * ALIKE < usual) | (own["lead_time_days"] > ALIKE * max(usual, 1))]:
                days = own["lead_time_days"][at]
                yield examined.doubt(
                    "purchases",
                    at,
                    "lead_time_days",
                    f"about {usual:g}, as {supplier} has",
                    f"{days} days where {supplier} needs {usual:g}",
                )
            yield from _packs(examined, str(supplier), own["pack_size"])


def _packs(examined: Examined, supplier: str, packs: Series[Any]) -> Iterator[Doubt]:
    many = Counter(packs)
    usual = [pack for pack, count in many.items() if count * USED >= len(packs)]
    for at, pack in zip(packs.index, packs, strict=True):
        alike = [each for each in usual if each.unit == pack.unit]
        if alike and not min(each.number for each in alike) / 2 <= pack.number <= max(each.number for each in alike) * 2:
            sizes = " or ".join(f"{plain(each.number)} {each.unit}" for each in alike)
            reason = f"a pack of {plain(pack.number)} {pack.unit} where {supplier} has {sizes}"
            yield examined.doubt("purchases", at, "pack_size", f"{sizes}, as the rest of {supplier}", reason)
