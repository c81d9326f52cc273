"""An eye: a single tongue with a hole; the pin belongs to what it is attached to."""

from __future__ import annotations

from pricing.fittings.barrel import Barrel
from pricing.fittings.base import HOLE


class Eye(Barrel):
    """Bearing: the wall of the pin hole farthest from the wire."""

    name = "eye"
    label = "Eye"
    bears = "Bears on the wall of its hole farthest from the wire."
    side = "tongue"
    attachments = ("swage", "compression")
    asks = ("pin",)
    datums = HOLE
    needs = ("pin", "hole", "tip")
    may = ("tongue",)
