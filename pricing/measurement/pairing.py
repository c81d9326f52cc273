"""Finds pairs: the only two assemblies of a role on either side of one mast."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly

Role = tuple[str, str, int | None]


def partners(assemblies: Sequence[Assembly]) -> dict[int, int]:
    """Maps the place of each paired assembly to that of its partner."""
    sides: dict[Role, dict[str, list[int]]] = defaultdict(lambda: {"port": [], "starboard": []})
    for place, each in enumerate(assemblies):
        if each.side in ("port", "starboard"):
            sides[each.role, each.mast, each.number][each.side].append(place)
    partners: dict[int, int] = {}
    for both in sides.values():
        port, starboard = both["port"], both["starboard"]
        if len(port) == len(starboard) == 1:
            partners |= {port[0]: starboard[0], starboard[0]: port[0]}
    return partners


def paired(assemblies: Sequence[Assembly]) -> frozenset[int]:
    """Places of the assemblies whose partner is present."""
    return frozenset(partners(assemblies))
