"""How a family is drawn: a symbol of a few shapes, with lengths in wire diameters.

`along` runs from the terminal's bearing (0) toward the wire, negative beyond the bearing; `across` is measured from the axis.
"""

from __future__ import annotations

from typing import NamedTuple


class Shank(NamedTuple):
    """The shank that holds the wire, from `start` to the mouth."""

    start: float


class Solid(NamedTuple):
    """A closed outline, symmetrical about the axis: the (along, across) points of its right half, from the outside inward."""

    points: tuple[tuple[float, float], ...]


class Disc(NamedTuple):
    """A circle on the axis: a ball, or a hole."""

    along: float
    radius: float


class Bearing(NamedTuple):
    """The bearing surface on both sides of the axis, `inner` to `outer` from it."""

    along: float
    inner: float
    outer: float


Shape = Shank | Solid | Disc | Bearing
Outline = tuple[Shape, ...]
