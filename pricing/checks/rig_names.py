"""Phrases for the name of a wire, such as `starboard mizzen cap shroud` or `port V1`, and for its kind: `1x19 wire (316, 5 mm)`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pricing.measurement.roles import ROLES
from pricing.values import Count, Phrase, Size, Value, material, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly
    from pricing.rows import Wire


def named_wire(assembly: Assembly) -> Phrase:
    """The name of a wire from its role, side and mast, as far as given; verticals and diagonals are named by their number."""
    return named_on(assembly, assembly.side)


def named_on(assembly: Assembly, side: str | None) -> Phrase:
    """The name that a wire has, or would have, on this side; None: without one."""
    role: Value = phrase(f"role.{assembly.role}")
    if assembly.number and (ROLES[assembly.role].letter or ROLES[assembly.role].pieces):
        role = phrase(f"numbered.{assembly.role}", number=Count(assembly.number))
    of_mast = assembly.mast != "main"
    values: dict[str, Value] = {"role": role}
    if side:
        values["side"] = phrase(f"side.{side}")
    if of_mast:
        values["mast"] = phrase(f"mast.{assembly.mast}")
    return phrase(f"wire.{'side_' if side else ''}{'mast_' if of_mast else ''}role", **values)


def kind_of(wire: Wire) -> Phrase:
    """A wire described by its construction, material and size."""
    construction = phrase(f"construction.{wire.construction}")
    return phrase("wire_kind.of", construction=construction, material=material(wire.material), size=Size(wire.diameter))
