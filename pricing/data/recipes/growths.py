"""Growths as if from the shop's test swages, for each terminal on each wire: invented, a little less than conservation of metal gives.

Some wires have no row yet, as in any shop: their growth is derived from the shank.
"""

from __future__ import annotations

from fractions import Fraction

from pricing.data.recipes.classes import CLASSES, WireClass
from pricing.data.recipes.common import INVENTED, Row, Size, fine_dim
from pricing.data.recipes.shanks import shank_of
from pricing.data.recipes.terminals import swaged
from pricing.data.recipes.wires import AREA_SHARE

UNTESTED = ("7/32 in", "9/32 in", "7/16 in")  # classes without any test swage
COMPACTED = ("3 mm", "5 mm", "6 mm", "10 mm")  # the classes in which compacted wire was tried
BARREL = Fraction(7, 10)  # of the barrel's own lengthening on 1x19: invented
LEAST_DOUBT, DOUBT = Fraction(2, 10), Fraction(5, 100)  # standard uncertainty in mm, and as a share of the growth: invented


def growths() -> list[Row]:
    """growths.csv."""
    return [
        _growth(kind, row["sku"], construction, size)
        for kind in CLASSES
        for row in swaged(kind)
        for construction in row["constructions"].split(";")
        for size in kind.sizes
        if kind.first.text not in UNTESTED and (construction != "compacted_1x19" or kind.first.text in COMPACTED)
    ]


def _growth(kind: WireClass, sku: str, construction: str, size: Size) -> Row:
    inch, mm = kind.first.inch, _share(kind) * shank_of(kind).conserved(size.mm, AREA_SHARE[construction])
    return {
        "terminal": sku,
        "construction": construction,
        "wire_size": size.text,
        "growth": fine_dim(mm, inch),
        "growth_u": fine_dim(max(LEAST_DOUBT, mm * DOUBT), inch),
        "source": INVENTED,
    }


def _share(kind: WireClass) -> Fraction:
    """The share of the growth by conservation of metal that this class's test swages showed."""
    shank, wire = shank_of(kind), AREA_SHARE["1x19"] * kind.first.mm**2
    barrel = shank.length * ((shank.before**2 - shank.bore**2) / (shank.after**2 - wire) - 1)
    return BARREL * barrel / shank.conserved(kind.first.mm, AREA_SHARE["1x19"])
