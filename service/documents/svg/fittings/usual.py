"""Symbols of usual size, for what is drawn before anything is quoted, and where on each of them a reading can end. Lengths in mm."""

from __future__ import annotations

from service.documents.rig.ends import Member

from .heads import JAW, RING
from .shanks import PIN

WIRE = 5.0
LENGTH = 46.0
PIN_DRAWN = PIN * WIRE  # every symbol below is long enough for the whole of it
LINKS = {"toggle": 36.0, "shackle": 32.0, "insulator": 58.0, "bridle_plate": 40.0, "gate_hook": 58.0}
_LONG = {"thimble_eye": 59.0, "deadeye": 59.0}  # as far as the end of their sleeve
_SIZES = {
    "stud": {"thread": 24.0, "depth": 12.0},
    "thimble_eye": {"crown_radius": 9.0, "to_sleeve": 34.0, "groove_radius": 11.0, "sleeves": 1.0, "pressed_length": 16.0, "covered": 16.0},
    "deadeye": {"to_sleeve": 32.0, "groove_radius": 11.0, "sleeves": 1.0, "pressed_length": 16.0, "covered": 16.0},
}
_BALL = 1.6 * WIRE
_RINGS = ("eye", "screw eye", "insulator link")


def terminal(family: str, start: float = 0.0, **sizes: float) -> Member:
    """A terminal with its bearing at `start`."""
    return Member(family, start, _LONG.get(family, LENGTH), {"depth": 18.0, **_SIZES.get(family, {}), **sizes}, "")


def link(kind: str, start: float = 0.0) -> Member:
    """A link with its outer bearing at `start`; its inner joint takes off one pin, but nothing on a shackle's bow."""
    whole = LINKS[kind]
    overlap = 0.0 if kind == "shackle" else PIN_DRAWN
    return Member(f"{kind} link", start, whole - overlap, {"whole": whole, "pin": PIN_DRAWN}, "")


def along(kind: str, place: str) -> float:
    """Where a reading to `place` (a datum) ends on a symbol, from its bearing toward the wire. Raises KeyError if it has no such place."""
    if place == "bearing":
        return 0.0
    if kind == "shackle link":
        return {"pin_centre": -PIN_DRAWN / 2, "pin_outside": -PIN_DRAWN}[place]
    if kind == "ball":
        return {"ball_centre": -0.8 * _BALL, "outer_tip": -1.8 * _BALL}[place]
    if kind == "stud":
        return {"stud_tip": -0.6 * WIRE}[place]
    beyond = 0.7 if kind == "bridle_plate link" else (RING if kind in _RINGS else JAW) - 0.5
    return {"pin_centre": 0.5, "hole_centre": 0.5, "pin_inside": 1.0, "outer_tip": -beyond}[place] * PIN_DRAWN
