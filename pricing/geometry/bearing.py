"""The change in target length if the new end bears on the boat at a different point from the old one.

The boat's hole has a wall toward the wire, against which every pin through it is pulled. A shackle bears on that wall with the face of its
pin (or bow); a fork, eye, toggle or thimble bears on the other face of the pin, one pin diameter further out. With both bearings measured
from that wall, the target changes by (new bearing − old bearing): statics. If a hole is redrilled on its old centre, its wall moves inward
by half the change in pin diameter.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.findings import Finding, code, finding
from pricing.measurement.reduction import pin_change
from pricing.values import Size, phrase

if TYPE_CHECKING:
    from pricing.fittings.base import Frame
    from pricing.measurement.assembly import End

BEARING_CHANGED = code("bearing-changed", "note", "A shackle takes the place of a hole on the boat's pin, or the other way round.")
OLD_PIN_MISSING = code(
    "old-pin-missing",
    "ask",
    "A different part bears on the boat than before, or its hole is redrilled, and the size of the pin there was not given.",
)
ON_WALL, BEYOND_PIN = ("shackle", "bow"), ("hole", "crown")


def bearing_change(name: str, end: End, old: Frame, new: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    """The term for a changed bearing on the boat (None if there is none), with findings. `old` and `new`: frames that bore and will bear there."""
    if end.old_pin is None and (old.kind, old.pin) == (new.kind, new.pin):
        return None, _redrilled(name, end, new)
    if (old.kind in ON_WALL) == (new.kind in ON_WALL):
        was = end.old_pin if end.old_pin is not None else old.pin
        return pin_change(name, replace(end, old_pin=was), new) if was is not None else (None, _redrilled(name, end, new))
    if not {old.kind, new.kind} <= {*ON_WALL, *BEYOND_PIN}:
        return None, ()
    return _other_kind(name, end, end.old_pin or old.pin, old, new)


def _redrilled(name: str, end: End, new: Frame) -> tuple[Finding, ...]:
    """A question if the hole is redrilled: it then takes another pin, and without the old pin's size the length is left as measured."""
    if end.boat_hole != "redrilled" or new.kind not in (*ON_WALL, *BEYOND_PIN):
        return ()
    return (finding(OLD_PIN_MISSING, f"{name}/boat_hole", "redrilled", end=phrase(f"end.{name}")),)


def _other_kind(name: str, end: End, was: Decimal | None, old: Frame, new: Frame) -> tuple[Term | None, tuple[Finding, ...]]:
    shackled = new.kind in ON_WALL
    pin = was if shackled else new.pin
    if pin is not None and was is None and end.boat_hole == "redrilled":
        return None, _redrilled(name, end, new)
    if pin is None:
        return None, (finding(OLD_PIN_MISSING, name, "shackle" if shackled else "hole", end=phrase(f"end.{name}")),)
    moved = (new.pin - was) / 2 if end.boat_hole == "redrilled" and new.pin is not None and was is not None else Decimal(0)
    mm = (-pin if shackled else pin) - moved
    wording = "shackle" if shackled else "hole"
    changed = finding(BEARING_CHANGED, name, wording, end=phrase(f"end.{name}"), pin=Size(pin))
    return term("bearing-changed", mm, phrase("source.statics"), name, wording, pin=pin), (changed,)
