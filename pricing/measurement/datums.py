"""Which points an end can be measured to: a datum belongs to the outermost member included in the reading.

Those of a terminal are its family's. Common practice, no source: a shackle's pin has two faces.
"""

from __future__ import annotations

from pricing.fittings import FAMILIES
from pricing.fittings.base import HOLE, PLAIN
from pricing.measurement.assembly import Assembly
from pricing.measurement.included import old_links, reading_extent

SHACKLE = ("bearing", "pin_centre", "pin_outside")
OF_LINK = {"toggle": HOLE, "shackle": SHACKLE, "insulator": HOLE, "bridle_plate": HOLE, "gate_hook": PLAIN}


def datums_at(assembly: Assembly, end: str) -> tuple[str, ...]:
    """The datums that apply at `end` ("upper" or "lower") of this assembly, as written in a request."""
    requested = assembly.upper if end == "upper" else assembly.lower
    extent, turnbuckle = reading_extent(assembly, end), assembly.turnbuckle
    if extent.links:
        link = old_links(assembly, end)[extent.links - 1][1]
        return PLAIN if link.outer_side == "bow" else OF_LINK[link.kind]
    if assembly.measurement.includes_turnbuckle and turnbuckle is not None and turnbuckle.at == end:
        return HOLE
    return FAMILIES[requested.terminal].datums
