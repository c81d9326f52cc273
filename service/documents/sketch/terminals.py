"""Terminals of a wire by family. Each is given its member and a pen whose zero is the member's own bearing."""

from __future__ import annotations

import math
from collections.abc import Callable

from service.documents.rig.ends import Member

from .heads import HEADS, crown
from .pen import Pen
from .shanks import ROD, SHANK, pin_of, shank, threads

Sketch = Callable[[Pen, Member], None]


def headed(family: str) -> Sketch:
    """A fork, eye or toggle with its shank."""

    def sketch(pen: Pen, member: Member) -> None:
        pin = pin_of(pen, member.length)
        neck = HEADS[family](pen, pin)
        shank(pen, min(neck, 0.9 * member.length), member)

    return sketch


def tee(pen: Pen, member: Member) -> None:
    """A bar across the end; it bears on its shoulder toward the wire."""
    d = pen.wire
    shank(pen, 0.0, member)
    pen.both([(-1.3 * d, 1.7 * d), (-1.0 * d, 2.1 * d), (-0.3 * d, 2.1 * d), (0.0, 1.9 * d)])
    pen.bearing(0.0, SHANK * d, 1.95 * d)


def stud(pen: Pen, member: Member) -> None:
    """In a turnbuckle only its neck; bare, it bears on the last thread, and a plain tip beyond is not counted."""
    d = pen.wire
    if member.sizes.get("neck"):
        start = min(1.2 * d, member.length / 4)
        pen.box(0.0, start, ROD * d)
        shank(pen, start, member)
        return
    thread = member.sizes.get("thread") or 0.5 * member.length
    pen.both([(-0.6 * d, 0.45 * d), (0.0, ROD * d)])
    threads(pen, 0.0, thread)
    shank(pen, thread, member)
    pen.bearing(0.0, 0.3 * d, 1.5 * d)


def ball(pen: Pen, member: Member) -> None:
    """A ball outward of the ring that its socket touches."""
    d = pen.wire
    radius = 1.6 * d
    shank(pen, 0.0, member)
    pen.disc(-0.8 * radius, radius)
    touched = radius * 0.6  # 3-4-5: the ring stands 0.8 of the radius from the centre
    pen.bearing(0.0, touched, touched + 0.9 * d)


def plain(pen: Pen, member: Member) -> None:
    """A terminal of a family that the quote does not tell: a shank with its bearing."""
    d = pen.wire
    shank(pen, 0.0, member)
    pen.bearing(0.0, 0.0, 1.6 * d)


def thimble(pen: Pen, member: Member) -> None:
    """The wire round the thimble to scale, closed by its sleeves; it bears inside the crown."""
    sizes, d = member.sizes, pen.wire
    inside, away = sizes["crown"] or 2 * d, sizes["to sleeve"] or 8 * d
    groove = max(sizes.get("groove") or 2.3 * d, inside + 0.2 * d)
    heart = pen.moved(inside)  # its zero is the crown's centre
    _loop(heart, groove + d / 2, away, d)
    _heart(heart, inside, away)
    crown(heart, 0.0, inside)
    face = pen.moved(inside + away)
    at = 0.0
    count = max(1, round(sizes.get("sleeves", 1.0)))
    long = sizes.get("pressed") or 4 * d
    face.outline([(0.0, d / 2), (sizes["covered"], d / 2), (sizes["covered"], 1.5 * d), (0.0, 1.5 * d)])
    for _ in range(count):
        slant = min(0.6 * d, long / 5)
        face.both([(at, 1.2 * d), (at + slant, 1.6 * d), (at + long - slant, 1.6 * d), (at + long, 1.2 * d)])
        at += long + sizes.get("gap", 0.0)


def _tangent(radius: float, away: float, aside: float) -> float:
    """Angle at the crown's centre, from the wire, to where the leg from the sleeve face touches a circle of that radius."""
    reach = math.hypot(away, aside)
    return math.atan2(aside, away) + math.acos(min(1.0, radius / reach))


def _teardrop(pen: Pen, radius: float, away: float, aside: float) -> str:
    turn = _tangent(radius, away, aside)
    start, end = ((radius * math.cos(turn), side * radius * math.sin(turn)) for side in (1, -1))
    arc = pen.arc(start, radius, end, large=turn < math.pi / 2)
    return f"M{pen.at(away, aside)} L{pen.at(*start)} {arc} L{pen.at(away, -aside)}"


def _loop(pen: Pen, radius: float, away: float, d: float) -> None:
    d_path = _teardrop(pen, radius, away, d / 2)
    broad = pen.scale * d
    pen.path(d_path, stroke_width=broad + 1.1, stroke_linejoin="round")
    pen.path(d_path, stroke="#fff", stroke_width=max(broad - 1.1, 0.6), stroke_linejoin="round")


def _heart(pen: Pen, radius: float, away: float) -> None:
    pen.path(_teardrop(pen, radius, 0.86 * away, 0.0) + "Z")


TERMINALS: dict[str, Sketch] = {
    "fork": headed("fork"), "eye": headed("eye"), "toggle": headed("toggle"), "tee": tee, "stud": stud, "ball": ball,
    "thimble eye": thimble, "terminal": plain,
}  # fmt: skip
