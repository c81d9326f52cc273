"""A fork: two cheeks with a pin through them; comes with its own clevis and cotter pin."""

from __future__ import annotations

from pricing.fittings.barrel import Barrel
from pricing.fittings.base import HOLE


class Fork(Barrel):
    """Bearing: the wall of the pin hole farthest from the wire."""

    name = "fork"
    label = "Fork"
    bears = "Bears on the wall of its pin hole farthest from the wire."
    side = "jaw"
    attachments = ("swage", "compression")
    asks = ("pin",)
    datums = HOLE
    needs = ("pin", "hole", "tip", "jaw")
    may = ("jaw_over",)
