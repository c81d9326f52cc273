"""Heads with a pin: fork, eye and toggle, on a wire terminal or a turnbuckle screw, seen along their pin, so that the hole shows. The bearing
is the wall of the hole farthest from the wire.
"""

from __future__ import annotations

import math

from .pen import BEARING, LINE, Pen
from .shanks import ROD, clevis

REACH = 2.6  # length of a head, in pin diameters
JAW = 1.1  # half the breadth of a cheek, and its radius about the hole, in pin diameters
RING = 1.05  # the same of an eye
_TURN = math.radians(60)  # of a bearing surface to each side of the axis


def fork(pen: Pen, pin: float) -> float:
    """Draw a cheek with straight sides and shoulders, the bottom of the slot behind it dashed; returns where the shank begins, mm."""
    half, neck = JAW * pin, REACH * pin
    cheek(pen, pin, [(1.85 * pin, half), (2.2 * pin, 0.75 * half), (neck, ROD * pen.wire)])
    pen.hidden([(1.5 * pin, -half), (1.5 * pin, half)])
    hole(pen, pin)
    return neck


def eye(pen: Pen, pin: float) -> float:
    """Draw a ring on a narrow stem; returns where the shank begins, mm."""
    d, centre, outer = pen.wire, pin / 2, RING * pin
    neck = REACH * pin * 0.9
    pen.disc(centre, outer)
    side = [(centre + 0.8 * outer, 0.6 * outer), (neck, ROD * d)]  # on the ring: a 3-4-5 triangle
    pen.both(side, stroke="none")
    for way in (-1, 1):
        pen.outline([(along, way * across) for along, across in side], closed=False)
    hole(pen, pin)
    return neck


def toggle(pen: Pen, pin: float) -> float:
    """Draw a short cheek on a second pin at right angles, seen from its side; returns where the shank begins, mm."""
    half, joint = JAW * pin, 2.0 * pin
    neck = REACH * pin * 1.1
    pen.both([(joint, 0.85 * pin), (neck, ROD * pen.wire)])
    cheek(pen, pin, [(joint + 0.5 * pin, half)])
    clevis(pen, joint - 0.3 * pin, 0.6 * pin, half)
    hole(pen, pin)
    return neck


def cheek(pen: Pen, pin: float, right: list[tuple[float, float]]) -> None:
    """Draw a cheek, round about its hole; `right` are the points of its right side from there towards the wire."""
    half, centre = JAW * pin, pin / 2
    left = [(along, -across) for along, across in right]
    d = "M" + " L".join(pen.at(*point) for point in [*reversed(right), (centre, half)])
    d += " " + pen.arc((centre, half), half, (centre, -half)) + "".join(f" L{pen.at(*point)}" for point in left) + "Z"
    pen.path(d, fill="#fff", stroke_width=LINE, stroke_linejoin="round")


def hole(pen: Pen, pin: float) -> None:
    """Draw the pin hole with its centre lines, and mark the wall that bears."""
    pen.hole(pin / 2, pin / 2)
    crown(pen, pin / 2, pin / 2)


def crown(pen: Pen, centre: float, radius: float, across: float = 0.0) -> None:
    """Mark a bearing on the outer side of a round wall: a thick arc."""
    half, along = radius * math.sin(_TURN), centre - radius * math.cos(_TURN)
    start, end = (along, across + half), (along, across - half)
    pen.path("M" + pen.at(*start) + pen.arc(start, radius, end), stroke_width=BEARING, class_="bearing")


HEADS = {"fork": fork, "eye": eye, "toggle": toggle}
