"""Positions on a line that do not overlap, each as close as possible to where it is wanted."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Centres for boxes of these widths between `low` and `high`, in the given order (which is that of `wanted`).

    Boxes that would overlap are placed side by side around the mean of their wanted positions (pool adjacent violators, the
    least-squares solution). If all together are wider than the space, they extend beyond `high`; callers group first.
    """
    groups: list[tuple[float, float, int]] = []  # sum of wanted left edges, width, number of members
    for middle, width in zip(wanted, widths, strict=True):
        groups.append((middle - width / 2, width, 1))
        while len(groups) > 1 and _start(groups[-2], low, high) + groups[-2][1] > _start(groups[-1], low, high):
            (early, breadth, count), (late, more, others) = groups[-2:]
            groups[-2:] = [(early + late - others * breadth, breadth + more, count + others)]
    places: list[float] = []
    at = 0
    for group in groups:
        left = _start(group, low, high)
        for width in widths[at : at + group[2]]:
            places.append(left + width / 2)
            left += width
        at += group[2]
    return places


def _start(group: tuple[float, float, int], low: float, high: float) -> float:
    total, breadth, count = group
    return max(low, min(total / count, high - breadth))
