"""Freight: prices rise with weight and coil diameter, in plausible steps."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pandas

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

ALL = ("price", "up_to_mass", "up_to_coil")
STEP = 9  # times the price of the next cheaper class, as of a pallet after a parcel: common practice, no source
# weight of a parcel or pallet, and diameter of the coil that fits on it: common practice, no source
LIMITS = {"up_to_mass": (0.2, 1500, "kg", 1.0), "up_to_coil": (150, 4000, "mm", 1.0)}


def freight(examined: Examined) -> Iterator[Doubt]:
    """Each row against the limits of carriers and against the other rows of its day."""
    frame = examined.frame("freight")
    for column, (low, high, unit, _) in LIMITS.items():
        for at in frame.index[(frame[column] < low) | (frame[column] > high)]:
            value = frame[column][at]
            yield examined.doubt(
                "freight", at, column, f"{low:g} to {high:g} {unit} ({'common practice, no source'})", f"freight up to {value:g} {unit}"
            )
    for _, own in frame.groupby("from_day", sort=False):
        yield from _in_steps(examined, own)


def _in_steps(examined: Examined, own: pandas.DataFrame) -> Iterator[Doubt]:
    if len(own) < 3:
        return
    if not _chained(own, *ALL):
        for at in _candidates(own):
            if _chained(own.drop(at), *ALL):
                column = next((each for each in ALL if _chained(own, *(other for other in ALL if other != each))), "price")
                reason = "a dearer class carries less here, or a cheaper one more"
                yield examined.doubt("freight", at, column, "larger limits where the price is higher, as in the other rows", reason)
    ordered = own.sort_values("price")
    before = None
    for at, price in zip(ordered.index, ordered["price"], strict=True):
        if before is not None and price > STEP * max(before, 1e-9):
            worst = at if before > 0 else ordered.index[0]
            yield examined.doubt(
                "freight",
                int(worst),
                "price",
                f"at most {STEP} times the next cheaper class",
                f"{price:g} where the next cheaper class costs {before:g}",
            )
        before = price
    yield from _jumps(examined, own)


def _jumps(examined: Examined, own: pandas.DataFrame) -> Iterator[Doubt]:
    for column in ("up_to_mass", "up_to_coil"):
        steps = sorted(set(own[column]))
        for low, high in pairwise(steps):
            if high > 12 * low:
                at = int(own.index[own[column] == high][0])
                yield examined.doubt(
                    "freight",
                    at,
                    column,
                    f"less than 12 times the next class, {low:g}",
                    f"{high:g} where the next class below ends at {low:g}",
                )


def _candidates(own: pandas.DataFrame) -> list[int]:
    """The two rows around the first fall; one of them must be wrong if the others rise together."""
    ordered = own.sort_values(list(ALL))
    falls = (ordered[list(ALL)].diff() < 0).any(axis=1).to_numpy()
    at = int(falls.argmax())
    return sorted(int(each) for each in ordered.index[max(at - 1, 0) : at + 1])


def _chained(rows: pandas.DataFrame, *columns: str) -> bool:
    """Whether the columns, sorted by the first, never fall."""
    ordered = rows.sort_values(list(columns))
    return all(bool(ordered[column].is_monotonic_increasing) for column in columns)
