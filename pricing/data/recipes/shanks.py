"""Swage shanks: five sizes after a published table (from memory), the rest scaled from them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pricing.data.recipes.classes import WireClass
from pricing.data.recipes.common import INCH, fine_dim, nearest

TABLE_7_5 = "shank, bore, depth and swaged length: FAA AC 43.13-1B table 7-5, from memory"
# size: before, bore, depth, swaged length, after, in thousandths of an inch. AC 43.13-1B table 7-5, from memory.
PUBLISHED = {
    "1/8 in": (250, 141, 1511, 1438, 219),
    "5/32 in": (297, 172, 1761, 1688, 250),
    "3/16 in": (359, 203, 2011, 1938, 313),
    "1/4 in": (494, 265, 2511, 2438, 438),
    "5/16 in": (635, 328, 3011, 2938, 563),
}


@dataclass(frozen=True, slots=True)
class Shank:
    """Dimensions in mm of one swage shank."""

    before: Fraction
    bore: Fraction
    depth: Fraction
    length: Fraction
    after: Fraction

    def conserved(self, wire: Fraction, share: Fraction) -> Fraction:
        """Growth by conservation of the metal of barrel and wire, drawn together; `share` is the wire's metallic share of its circle."""
        return self.length * ((self.before**2 - self.bore**2 + share * wire**2) / self.after**2 - 1)


def shank_of(kind: WireClass) -> Shank:
    """The class's shank: published if the class is named for such a size, else 8 diameters and a bit, and so on (invented)."""
    if kind.first.text in PUBLISHED:
        return Shank(*(Fraction(value, 1000) * INCH for value in PUBLISHED[kind.first.text]))
    d = kind.mm
    step = INCH / 1000 if kind.first.inch else Fraction(1, 10)
    raw = (Fraction(195, 100) * d, d + Fraction(4, 10), 8 * d + 13, 8 * d + 11, Fraction(170, 100) * d)
    return Shank(*(nearest(value, step) for value in raw))


def shank_cells(kind: WireClass) -> dict[str, str]:
    """The shank's columns of terminals.csv."""
    shank, inch = shank_of(kind), kind.first.inch
    return {
        "depth": fine_dim(shank.depth, inch),
        "shank_before": fine_dim(shank.before, inch),
        "bore": fine_dim(shank.bore, inch),
        "shank_after": fine_dim(shank.after, inch),
        "swaged_length": fine_dim(shank.length, inch),
    }
