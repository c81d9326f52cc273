"""How a terminal is fixed to its wire, and what that does to lengths: swaging lengthens, a compression terminal does not.

Conservation of metal over the swaged length before swaging: growth = L·((D0² − b²)/(D1² − k·d²) − 1), with D0 and b the shank's diameter and
bore before, D1 its diameter after, d the wire and k its metallic share of the circle; common practice, no source but the geometry.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.fittings.base import Doubt, Work
from pricing.fittings.own import origin

if TYPE_CHECKING:
    from pricing.catalogue.rows import Terminal, Wire

GROWTH_DERIVED = code(
    "growth-derived",
    "ask",
    "The catalogue has no measured growth for this terminal; it was derived from the shank's diameters before and after.",
)
GROWTH_UNKNOWN = code("growth-unknown", "stop", "The catalogue has neither a measured growth nor the shank's diameters to derive it from.")
DERIVED_SHARE = 0.15  # standard uncertainty of a derived growth, as a share of it: the shop's decision, no source
_OPERATION = {"swage": "swage", "compression": "compression"}


def derived_growth(length: float, before: float, bore: float, after: float, wire: float, metallic_share: float) -> float:
    """Growth in mm from lengths and diameters in mm. Raises ValueError when the shank after swaging leaves no room for the metal."""
    room = after**2 - metallic_share * wire**2
    if room <= 0:
        raise ValueError("the shank after swaging is thinner than the wire's metal")
    return length * ((before**2 - bore**2) / room - 1)


def growth(row: Terminal, wire: Wire, end: str) -> tuple[Term | None, Doubt | None, tuple[Finding, ...]]:
    """The growth's term (negative: it makes the wire shorter), its doubt, and what must be asked."""
    if row.attachment != "swage":
        loose = Doubt(f"{end} terminal as assembled", float(row.growth_u), None, "measure the assembled terminal on a test piece")
        return None, loose if row.growth_u else None, ()
    if row.growth is not None:
        found = term(
            f"{end} terminal growth",
            -row.growth,
            origin(row.sku),
            "growth in swaging, from the shop's test swages",
            growth=row.growth,
        )
        return found, Doubt(f"{end} terminal growth", float(row.growth_u), None, "measure the growth of a test swage"), ()
    return _derived(row, wire, end)


def _derived(row: Terminal, wire: Wire, end: str) -> tuple[Term | None, Doubt | None, tuple[Finding, ...]]:
    sizes = (row.swaged_length, row.shank_before, row.bore, row.shank_after)
    share = float(wire.metallic_mm2) / (math.pi / 4 * float(wire.diameter) ** 2)
    at = f"{end}/terminal"
    if any(size is None for size in sizes):
        return (
            None,
            None,
            (finding(GROWTH_UNKNOWN, at, f"{row.sku} has no growth.", "Make a test swage and put its growth into the catalogue."),),
        )
    length, before, bore, after = (float(size or 0) for size in sizes)
    try:
        mm = derived_growth(length, before, bore, after, float(wire.diameter), share)
    except ValueError as fault:
        return None, None, (finding(GROWTH_UNKNOWN, at, f"{row.sku}: {fault}.", "Correct the shank's diameters in the catalogue."),)
    found = term(
        f"{end} terminal growth (derived)", -mm, f"derived from the shank of {row.sku}",
        "swaged length before x ((shank before² − bore²) / (shank after² − metallic share x wire²) − 1)",
        swaged_length=row.swaged_length, shank_before=row.shank_before, bore=row.bore, shank_after=row.shank_after, wire=wire.diameter, metallic_share=f"{share:.4f}",
    )  # fmt: skip
    doubt = Doubt(
        f"{end} terminal growth", max(DERIVED_SHARE * abs(mm), float(row.growth_u)), None, "make a test swage and measure its growth"
    )
    message = f"The growth of {row.sku} ({found.mm.copy_abs()} mm) is derived, not measured."
    return (
        found,
        doubt,
        (finding(GROWTH_DERIVED, at, message, "Swage one on an offcut of this wire, measure its growth and put it into the catalogue."),),
    )


def depth(row: Terminal, end: str) -> Term:
    """The wire that the bore swallows; it is pushed to the bottom."""
    return term(f"{end} wire in the bore", row.depth, origin(row.sku), "depth of the bore that swallows wire", depth=row.depth)


def work(row: Terminal, end: str) -> tuple[Work, ...]:
    """The operation that fixes it."""
    return (Work(_OPERATION[row.attachment], 1, end),)


def reach(row: Terminal, end: str, mm: Decimal | None = None, words: str = "bearing to mouth") -> Term:
    """What stands between bearing and mouth, unswaged."""
    return term(f"{end} terminal reach", -(row.reach if mm is None else mm), origin(row.sku), words, reach=row.reach)
