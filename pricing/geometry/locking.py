"""Locking a turnbuckle at its setting (common practice).

An open body is locked by cotter pins through its screws, a tubular one by locknuts. An open body's screw can be locked only while its hole
lies inside the body, clear of the threaded boss: with the hole's centre at c from the last thread, d the hole's diameter and B the boss,
at least c + d/2 + B of thread must be in the body. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Part
from pricing.fittings.ended import discontinued_values
from pricing.values import Phrase, Size, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Body

NO_COTTER_HOLE = code(
    "no-cotter-hole", "ask", "An open turnbuckle body is locked by cotter pins, and a screw or stud is not known to have the hole for one."
)
NO_LOCKING_PART = code(
    "no-locking-part", "ask", "The catalogue lacks the cotter pin or locknut that locks a turnbuckle body: it is not in the bill.", "shop"
)
AT = "turnbuckle"


class Threaded(NamedTuple):
    """A screw or stud in a body: its name, its thread's hand, its cotter pin hole (None: unknown), and whether it is kept."""

    name: Phrase
    hand: str
    hole: Decimal | None
    hole_at: Decimal | None
    kept: bool

    def least_inside(self, boss: Decimal | None) -> Decimal:
        """Length of thread that must be in an open body for the hole to clear its boss; 0 if unknown."""
        if self.hole is None or self.hole_at is None or boss is None:
            return Decimal(0)
        return boss + self.hole_at + self.hole / 2


def locked_by(body: Body, screws: Sequence[Threaded], kept: bool, catalogue: Catalogue) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """The locking parts, one per screw, and any findings. Cotter pins are always new; a kept body keeps its locknuts."""
    locked = [_locknut(body, each, kept, catalogue) if body.body == "tubular" else _cotter(each, catalogue) for each in screws]
    parts = [each for each in locked if isinstance(each, Part)]
    return _counted(parts), tuple(each for each in locked if isinstance(each, Finding))


def _counted(parts: list[Part]) -> tuple[Part, ...]:
    """Combine equal parts into one with a quantity."""
    return tuple(part._replace(quantity=parts.count(part)) for part in dict.fromkeys(parts))


def _cotter(screw: Threaded, catalogue: Catalogue) -> Part | Finding | None:
    if screw.hole is None:
        return _no_hole(screw, catalogue)
    row = catalogue.cotter(screw.hole)
    if row is None and (gone := catalogue.with_discontinued.cotter(screw.hole)) is not None:
        return finding(NO_LOCKING_PART, AT, "ended", **discontinued_values(gone), screw=screw.name)
    if row is None:
        return finding(NO_LOCKING_PART, AT, "cotter", size=Size(screw.hole), screw=screw.name)
    return Part(row.sku, row.name, 1, AT, False, row.mass_kg)


def _no_hole(screw: Threaded, catalogue: Catalogue) -> Finding | None:
    """A question about the missing hole, unless the tables predate cotter pin holes and give none at all."""
    if not screw.kept and not catalogue.with_discontinued.index.tells_of_cotter_holes:
        return None
    return finding(NO_COTTER_HOLE, AT, "kept" if screw.kept else "new", screw=screw.name)


def _locknut(body: Body, screw: Threaded, kept: bool, catalogue: Catalogue) -> Part | Finding | None:
    if not body.locknut:
        return None
    row = catalogue.of_part(kept=kept).locknut(body.thread, screw.hand)
    if row is not None:
        return Part(row.sku, row.name, 1, AT, kept, row.mass_kg)
    if not catalogue.with_discontinued.tables.locknuts or kept:
        return None  # in tables that predate locknut articles they come with the body; kept ones stay on it
    if (gone := catalogue.with_discontinued.locknut(body.thread, screw.hand)) is not None:
        return finding(NO_LOCKING_PART, AT, "ended", **discontinued_values(gone), screw=screw.name)
    values: dict[str, Value] = {"thread": Text(body.thread), "hand": phrase(f"hand.{screw.hand}"), "screw": screw.name}
    return finding(NO_LOCKING_PART, AT, "locknut", **values)
