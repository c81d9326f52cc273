"""Heads with a pin: fork, eye and toggle, on a wire's terminal or on a turnbuckle's screw. The bearing is the hole's wall farthest from the wire."""

from __future__ import annotations

import math

from .pen import BEARING, Pen
from .shanks import ROD, clevis

REACH = 3.1  # length of a head, in pins


def fork(pen: Pen, pin: float) -> float:
    """Two cheeks and a pin across; returns where the shank begins, mm."""
    d = pen.wire
    jaw, cheek = 0.95 * d, 0.65 * d
    out, neck = jaw + cheek, REACH * pin
    right = [(-0.7 * pin, out), (2.1 * pin, out), (neck, ROD * d)]
    left = [(along, -across) for along, across in reversed(right)]
    pen.outline([*right, *left, (-0.7 * pin, -jaw), (1.9 * pin, -jaw), (1.9 * pin, jaw), (-0.7 * pin, jaw)])
    clevis(pen, 0.0, pin, out)
    pen.bearing(0.0, jaw, out)
    return neck


def eye(pen: Pen, pin: float) -> float:
    """A ring that shows its hole; returns where the shank begins, mm."""
    d, centre, outer = pen.wire, pin / 2, 1.05 * pin
    neck = REACH * pin * 0.9
    pen.both([(centre, 0.98 * outer), (centre + 0.85 * outer, 0.6 * outer), (neck, ROD * d)])
    pen.disc(centre, outer)
    pen.both([(centre + 0.8 * outer, 0.5 * outer), (neck, ROD * d)], stroke="none")
    pen.disc(centre, pin / 2)
    crown(pen, centre, pin / 2)
    return neck


def crown(pen: Pen, centre: float, radius: float) -> None:
    """A bearing on a round wall, outward: a thick arc."""
    turn = math.radians(55)
    across, along = radius * math.sin(turn), centre - radius * math.cos(turn)
    start, end = (along, across), (along, -across)
    pen.path("M" + pen.at(*start) + pen.arc(start, radius, end), stroke_width=BEARING, class_="bearing")


def toggle(pen: Pen, pin: float) -> float:
    """A jaw on a second pin that lies the other way; returns where the shank begins, mm."""
    d = pen.wire
    jaw, cheek = 0.95 * d, 0.65 * d
    out, joint = jaw + cheek, 2.35 * pin
    neck = REACH * pin * 1.1
    pen.both([(joint, 0.75 * pin), (neck, ROD * d)])
    right = [(-0.7 * pin, out), (2.5 * pin, out), (3.05 * pin, 0.6 * out)]
    left = [(along, -across) for along, across in reversed(right)]
    pen.outline([*right, *left, (-0.7 * pin, -jaw), (1.35 * pin, -jaw), (1.35 * pin, jaw), (-0.7 * pin, jaw)])
    pen.disc(joint, 0.42 * pin)
    pen.disc(joint, 0.1 * pin, fill="#000")
    clevis(pen, 0.0, pin, out)
    pen.bearing(0.0, jaw, out)
    return neck


HEADS = {"fork": fork, "eye": eye, "toggle": toggle}
