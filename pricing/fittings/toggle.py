"""A toggle terminal: a fork on a joint of its own, measured and built like a fork."""

from __future__ import annotations

from pricing.fittings.barrel import Barrel
from pricing.fittings.base import HOLE


class Toggle(Barrel):
    """Bearing: the wall of the pin hole farthest from the wire."""

    name = "toggle"
    label = "Toggle terminal"
    bears = "Bears on the wall of its outer pin hole farthest from the wire."
    side = "jaw"
    attachments = ("swage", "compression")
    asks = ("pin",)
    datums = HOLE
    needs = ("pin", "hole", "tip", "jaw")
    may = ("jaw_over",)
