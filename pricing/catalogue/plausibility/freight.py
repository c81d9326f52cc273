"""Freight: heavier and larger costs more, in steps."""

from __future__ import annotations

from collections.abc import Iterator

import pandas

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

STEP = 6  # times the price of the next cheaper class: common practice, no source
# what a parcel or a pallet weighs, and the coil that goes on it: common practice, no source
LIMITS = {"up_to_mass": (0.2, 1500, "kg", 1.0), "up_to_coil": (150, 4000, "mm", 1.0)}


def freight(examined: Examined) -> Iterator[Doubt]:
    """Each row beside the limits of carriers and beside the other rows of its day."""
    frame = examined.frame("freight")
    for column, (low, high, unit, _) in LIMITS.items():
        for at in frame.index[(frame[column] < low) | (frame[column] > high)]:
            found = frame[column][at]
            yield examined.doubt("freight", at, column, f"{low:g} to {high:g} {unit} ({'common practice, no source'})", f"freight up to {found:g} {unit}")
    for _, own in frame.groupby("from_day", sort=False):
        yield from _in_steps(examined, own)


def _in_steps(examined: Examined, own: pandas.DataFrame) -> Iterator[Doubt]:
    if len(own) < 3:
        return
    breaking = [at for at in own.index if _chained(own.drop(at))]
    if not _chained(own) and 0 < len(breaking):
        for at in breaking:
            for column in ("up_to_mass", "up_to_coil", "price"):
                if _out_of_order(own, at, column):
                    yield examined.doubt("freight", at, column, "larger where the price is higher, as in the other rows", "a dearer class carries less, or a cheaper one more")
    ordered = own.sort_values("price")
    before = None
    for at, price in zip(ordered.index, ordered["price"], strict=True):
        if before is not None and price > STEP * max(before, 1e-9):
            worst = at if before > 0 else ordered.index[0]
            yield examined.doubt("freight", int(worst), "price", f"at most {STEP} times the next cheaper class", f"{price:g} where the next cheaper class costs {before:g}")
        before = price
    yield from _jumps(examined, own)


def _jumps(examined: Examined, own: pandas.DataFrame) -> Iterator[Doubt]:
    for column in ("up_to_mass", "up_to_coil"):
        steps = sorted(set(own[column]))
        for low, high in zip(steps, steps[1:], strict=False):
            if high > 12 * low:
                at = int(own.index[own[column] == high][0])
                yield examined.doubt("freight", at, column, f"less than 12 times the next class, {low:g}", f"{high:g} where the next class below ends at {low:g}")


def _chained(rows: pandas.DataFrame) -> bool:
    """Whether both limits rise, or stay, with the price."""
    ordered = rows.sort_values(["price", "up_to_mass", "up_to_coil"])
    return bool(ordered["up_to_mass"].is_monotonic_increasing and ordered["up_to_coil"].is_monotonic_increasing)


def _out_of_order(own: pandas.DataFrame, at: int, column: str) -> bool:
    row, rest = own.loc[at], own.drop(at)
    other = "price" if column != "price" else "up_to_mass"
    below = rest[rest[other] < row[other]][column]
    above = rest[rest[other] > row[other]][column]
    return bool((len(below) and row[column] < below.max()) or (len(above) and row[column] > above.min()))
