"""Compares a row with its neighbours: rows of its own group, ordered by a size such as the wire's diameter.

Dimensions of a family grow with a power of the wire, thread or pin size. The power is fitted on logarithms by Theil–Sen (the median of the
slopes between all pairs of sizes: Theil 1950, Sen 1968), which tolerates a quarter of wrong rows; each row is left out of its own fit, and
is judged by the rows nearest to it in size.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy
from numpy.typing import NDArray

Floats = NDArray[numpy.float64]
Rows = NDArray[numpy.intp]
FEW = 5  # distinct sizes below which the power is not fitted but taken as given
ENOUGH = 12  # distinct sizes from which one row hardly moves the fit, so that it need not be left out
NEAREST = 4  # other sizes that a row is judged by
EACH = 3  # rows of each size that are used
FITTED = 200  # most sizes used for fitting the power; of more, this many, evenly spaced, are enough
FREE = 1.0  # how far a fitted power may differ from the given one


def apart(size: Floats, value: Floats, power: float) -> tuple[Floats, Floats]:
    """For each row, the log of the ratio of its value to its neighbours' (scaled to its own size), and the number of neighbours used.

    `size` and `value` are positive; `power` is the expected exponent of their relation.
    """
    x, y = numpy.log(size), numpy.log(value)
    sizes, which = numpy.unique(x.round(4), return_inverse=True)
    order = numpy.lexsort((y, which))
    rows = numpy.split(order, numpy.cumsum(numpy.bincount(which))[:-1])  # row positions by size, sorted by value
    spoken = [_central(each) for each in rows]
    slopes = _slopes(sizes, numpy.array([_median(y[each]) for each in rows]), power)
    ratio, count = numpy.zeros(len(x)), numpy.zeros(len(x))
    for at, own in enumerate(rows):
        others = numpy.concatenate([spoken[other] for other in _nearest(sizes, at)] or [own[:0]])
        brought = y[others] + slopes[at] * (x[own[0]] - x[others])
        for some, same in _beside(own):
            compared_with = numpy.concatenate([brought, y[same]])
            count[some] = len(compared_with)
            if len(compared_with):
                ratio[some] = _nearer_medians(y[some][:, None] - compared_with)
    return ratio, count


def _slopes(x: Floats, y: Floats, power: float) -> Floats:
    """The exponent for each size: fitted without that size if there are few, with all sizes if one can hardly move the fit."""
    many = len(x)
    if many < FEW:
        return numpy.full(many, power)
    if many > FITTED:
        some = numpy.linspace(0, many - 1, FITTED).round().astype(int)
        return numpy.full(many, _slopes(x[some], y[some], power)[0])
    first, second = numpy.triu_indices(many, 1)
    slope = (y[first] - y[second]) / (x[first] - x[second])
    if many >= ENOUGH:
        slopes = numpy.full(many, _median(slope))
    else:
        slopes = numpy.array([_median(slope[(first != at) & (second != at)]) for at in range(many)])
    clipped: Floats = numpy.clip(slopes, power - FREE, power + FREE)
    return clipped


def _nearest(sizes: Floats, at: int) -> list[int]:
    """The positions of the sizes nearest to the one at `at`; `sizes` are sorted."""
    near = range(max(at - NEAREST, 0), min(at + NEAREST + 1, len(sizes)))
    return sorted((other for other in near if other != at), key=lambda other: abs(sizes[other] - sizes[at]))[:NEAREST]


def _central(rows: Rows) -> Rows:
    """The middle rows of one size, by value, so that many equal rows do not outvote the other sizes."""
    first = max((len(rows) - EACH) // 2, 0)
    return rows[first : first + EACH]


def _beside(rows: Rows) -> Iterator[tuple[Rows, Rows]]:
    """(rows, their comparison rows) within one size: each row is compared with the middle ones of the others; rows that share them are grouped."""
    first = max((len(rows) - 1 - EACH) // 2, 0)
    end = min(first + EACH, len(rows) - 1)
    yield rows[: first + 1], rows[first + 1 : end + 1]
    for place in range(first + 1, end):
        yield rows[place : place + 1], numpy.delete(rows[first : end + 1], place - first)
    if end > first:
        yield rows[end:], rows[first:end]


def _median(values: Floats) -> float:
    ordered = numpy.sort(values)
    middle = len(ordered) // 2
    return float(ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2)


def _nearer_medians(gaps: Floats) -> Floats:
    """The median of each row's log ratios; of two middle values the smaller, so that agreement with half of the neighbours is enough."""
    ordered = numpy.sort(gaps, axis=1)
    middle = gaps.shape[1] // 2
    upper: Floats = ordered[:, middle]
    if gaps.shape[1] % 2:
        return upper
    lower = ordered[:, middle - 1]
    return numpy.where(numpy.abs(lower) <= numpy.abs(upper), lower, upper)
