"""Prices: compared with the article's other rows, with its family by size, and with the edition in force."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Any

import numpy
import pandas

from pricing.catalogue.plausibility import neighbours
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.sizes import sized
from pricing.errors import Doubt

BULK, BULK_FROM = 3.0, 10  # small parts may cost as little as a third from ten times the least quantity: common practice, no source
YEARLY = 1.08  # factor allowed for each year between two rows of an article: common practice, no source
LEAST_DISCOUNT = 3  # percent: common practice, no source
FEW_DISCOUNTS = 4  # of a list before one is compared with the others: wire and fittings may well differ
FACTOR = 2.0  # allowed between rows of one article, and from the edition in force: common practice, no source
FAMILY_FACTOR = 2.2  # allowed from articles of its family of about its size: common practice, no source
# by table: the columns that neighbours share, and the size that their prices grow with
FAMILIES: dict[str, tuple[tuple[str, ...], str]] = {
    "wires": (("construction", "material"), "diameter"), "terminals": (("family", "attachment"), "wire"), "turnbuckle_bodies": (("body",), "thread_mm"),
    "screws": (("end",), "thread_mm"), "links": (("kind",), "pin"), "pins": ((), "diameter"), "cotters": ((), "diameter"), "thimbles": ((), "wire"),
    "sleeves": ((), "wire"), "balls": ((), "ball"), "labour": (("operation",), "up_to"), "cones": ((), "wire"), "locknuts": ((), "thread_mm"),
    "backing_plates": ((), "wire"),
}  # fmt: skip
POWER = 1.5


def of_one_article(examined: Examined) -> Iterator[Doubt]:
    """A price far from the article's other rows, a price of zero, or one that rises with the quantity."""
    frame = examined.frame("prices")
    for at in frame.index[frame["unit_price"] == 0]:
        yield examined.doubt("prices", at, "unit_price", "a price above 0", "what is sold for nothing is seldom meant")
    positive = frame[frame["unit_price"] > 0]
    of_sku = positive.groupby("sku")["unit_price"]
    wide = of_sku.transform("max") > FACTOR * of_sku.transform("min")
    for sku, own in positive[wide].groupby("sku", sort=False):
        yield from _beside_own(examined, str(sku), own) if len(own) > 2 else _of_two(examined, str(sku), own)
    yield from _falling(examined, positive)


def _beside_own(examined: Examined, sku: str, own: pandas.DataFrame) -> Iterator[Doubt]:
    prices = own["unit_price"].to_numpy(dtype=float)
    order = numpy.argsort(prices, kind="stable")
    ordered, rank = prices[order], numpy.argsort(order)
    near, least_break = _nearest_days(own["from_day"]), own["from_quantity"].min()
    for at, price, own_rank, days in zip(own.index, prices, rank, near, strict=True):
        middle = _median_without(ordered, int(own_rank))
        most = FACTOR * _years(days)
        least = max(most, BULK) if own["from_quantity"][at] >= BULK_FROM * max(least_break, 1) else most
        if not 1 / least <= price / middle <= most:
            low, high = ordered[1 if own_rank == 0 else 0], ordered[-2 if own_rank == len(ordered) - 1 else -1]
            reason = f"{price:g} where the other rows of {sku} have {low:g} to {high:g}"
            yield examined.doubt("prices", at, "unit_price", f"about {middle:g}", reason)


def _of_two(examined: Examined, sku: str, own: pandas.DataFrame) -> Iterator[Doubt]:
    first, second = own["unit_price"]
    few, many = own.sort_values("from_quantity").index
    bulk = own["from_quantity"][many] >= BULK_FROM * max(own["from_quantity"][few], 1) and own["unit_price"][many] < own["unit_price"][few]
    if max(first, second) <= min(first, second) * max(FACTOR * _years(_nearest_days(own["from_day"])[0]), BULK if bulk else 0):
        return
    reason = f"{second:g} where the other row of {sku} has {first:g}: one of the two is hardly meant"
    yield examined.doubt("prices", int(own.index[1]), "unit_price", f"about {first:g}", reason)


def _median_without(ordered: neighbours.Floats, place: int) -> float:
    """The median of sorted values without the one at `place`."""
    many = len(ordered) - 1
    low, high = (each + (each >= place) for each in ((many - 1) // 2, many // 2))
    return float((ordered[low] + ordered[high]) / 2)


def _nearest_days(days: pandas.Series[Any]) -> list[int]:
    """For each row, the number of days to the nearest other row."""
    number = numpy.array([day.toordinal() for day in days])
    order = numpy.argsort(number, kind="stable")
    gaps = numpy.concatenate([[numpy.iinfo(number.dtype).max], numpy.diff(number[order]), [numpy.iinfo(number.dtype).max]])
    nearest_gap = numpy.empty(len(number), dtype=number.dtype)
    nearest_gap[order] = numpy.minimum(gaps[:-1], gaps[1:])
    return [int(each) for each in nearest_gap]


def _years(days: int) -> float:
    """The factor that a price may have risen by over this many days."""
    return float(YEARLY ** (days / 365.25))


def _falling(examined: Examined, positive: pandas.DataFrame) -> Iterator[Doubt]:
    ordered = positive.sort_values(["sku", "from_day", "from_quantity"])
    less = ordered.groupby(["sku", "from_day"])["unit_price"].shift()
    for at in ordered.index[ordered["unit_price"] > less]:
        price, before = ordered["unit_price"][at], less[at]
        reason = f"{price:g} from this quantity on, {before:g} for less"
        yield examined.doubt("prices", at, "unit_price", f"at most {before:g}, as for smaller quantities", reason)


def of_a_family(examined: Examined) -> Iterator[Doubt]:
    """An article's usual price far from those of articles of its family of about its size."""
    frame = examined.frame("prices")
    usual = frame[frame["unit_price"] > 0].groupby("sku")["unit_price"].median()
    rows = defaultdict(list)
    for at, sku in enumerate(frame["sku"]):
        rows[sku].append(at)
    for kind, (among, by) in FAMILIES.items():
        articles = sized(examined, kind)
        if articles.empty:
            continue
        priced = articles.assign(usual=articles["sku"].map(usual))
        priced = priced[priced["usual"].notna() & priced[by].notna()]
        groups = priced.groupby(list(among), sort=False) if among else [("", priced)]
        for _, group in groups:
            yield from _of_group(examined, group, by, rows)


def _of_group(examined: Examined, group: pandas.DataFrame, by: str, rows: dict[str, list[int]]) -> Iterator[Doubt]:
    if len(group) < 3:
        return
    price = group["usual"].to_numpy(dtype=float)
    ratio, counts = neighbours.apart(group[by].to_numpy(dtype=float), price, POWER)
    for sku, value, far, count in zip(group["sku"], price, ratio, counts, strict=True):
        if count and abs(far) > math.log(FAMILY_FACTOR):
            usual = value * math.exp(-far)
            at = rows[sku][0]
            reason = f"{sku} costs {value:g} where its family of about that size costs {usual / FAMILY_FACTOR:.3g} to {usual * FAMILY_FACTOR:.3g}"
            yield examined.doubt("prices", at, "unit_price", f"about {usual:.3g}, as its family of about that size", reason)


def whole_pieces(examined: Examined) -> Iterator[Doubt]:
    """A quantity break at a fraction of a piece, for an article sold by the piece."""
    frame = examined.frame("prices")
    for at in frame.index[(frame["unit"] == "each") & (frame["from_quantity"] % 1 > 0)]:
        quantity = frame["from_quantity"][at]
        yield examined.doubt("prices", at, "from_quantity", "a whole number of pieces", f"a price from {quantity:g} pieces on")


def ladders(examined: Examined) -> Iterator[Doubt]:
    """Quantity breaks that other articles of the same table do not have."""
    frame = examined.frame("prices")
    kind_of = {sku: kind for kind in FAMILIES for sku in examined.sheets[kind].text.get("sku", ())}
    kinds = frame["sku"].map(kind_of)
    for kind, of_kind in frame.groupby(kinds, sort=False):
        articles = of_kind["sku"].nunique()
        users = of_kind.groupby("from_quantity")["sku"].nunique()
        usual = sorted(float(str(quantity)) for quantity, many in users.items() if many * 2 > articles)
        if articles < 5 or not usual:
            continue
        for at, sku, quantity in zip(of_kind.index, of_kind["sku"], of_kind["from_quantity"], strict=True):
            if quantity > 1 and quantity not in usual and users[quantity] * 10 < articles:
                listed = ", ".join(f"{each:g}" for each in usual)
                reason = f"{sku} has a price from {quantity:g} where most of {kind}.csv have breaks from {listed}"
                yield examined.doubt("prices", at, "from_quantity", f"one of {listed}, as most of {kind}.csv", reason)


def against_before(examined: Examined) -> Iterator[Doubt]:
    """New rows against the edition in force: the same article and quantity at more than twice or less than half the price."""
    if examined.before is None:
        return
    rows = {(row.sku, row.from_day, row.from_quantity): row.unit_price for row in examined.before.prices}
    latest: dict[tuple[str, Decimal], tuple[date, Decimal]] = {}
    for (sku, day, quantity), price in rows.items():
        if (sku, quantity) not in latest or latest[sku, quantity][0] < day:
            latest[sku, quantity] = day, price
    columns = ("sku", "from_day", "from_quantity", "unit_price")
    for at, (_, values) in enumerate(examined.sheets["prices"].rows(columns)):
        yield from _against(examined, at, values, rows, latest)


def _against(examined: Examined, at: int, values: tuple[Any, ...], rows: Any, latest: Any) -> Iterator[Doubt]:
    sku, day, quantity, price = values
    was = rows.get((sku, day, quantity)) or latest.get((sku, quantity), (None, None))[1]
    if was and price and not 1 / FACTOR <= float(price / was) <= FACTOR:
        reason = f"{price} where the edition in force has {was} for {sku} from {quantity} on"
        yield examined.doubt("prices", at, "unit_price", f"about {was}, as in the edition in force", reason)


def discounts(examined: Examined) -> Iterator[Doubt]:
    """Discounts of more than half, shares written as percentages, and discounts far from the list's others."""
    frame = examined.frame("price_lists")
    for name, own in frame.groupby("price_list", sort=False):
        given = own[own["percent"] > 0]
        middle = float(given["percent"].median()) if len(given) >= FEW_DISCOUNTS else 0.0
        for at, percent in zip(own.index, own["percent"], strict=True):
            if 0 < percent < 1:
                yield examined.doubt(
                    "price_lists", at, "percent", f"{percent * 100:g} for {percent * 100:g} %", f"{percent:g} is read as {percent:g} %"
                )
            elif 0 < percent < LEAST_DISCOUNT:
                yield examined.doubt(
                    "price_lists", at, "percent", f"at least {LEAST_DISCOUNT}, or 0", f"{percent:g} % off is hardly a discount"
                )
            elif percent > 50:
                yield examined.doubt("price_lists", at, "percent", "at most 50", f"{percent:g} % off is more than half of the price")
            elif percent and middle and not 1 / 4 <= percent / middle <= 4:
                yield examined.doubt(
                    "price_lists",
                    at,
                    "percent",
                    f"about {middle:g}, as in the rest of {name}",
                    f"{percent:g} % where the rest of {name} gives about {middle:g} %",
                )
