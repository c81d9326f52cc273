"""Wire terminals by family. Each is given its member and a pen whose zero is the member's own bearing."""

from __future__ import annotations

import math
from collections.abc import Callable

from pricing.fittings import FAMILIES
from pricing.fittings.outline import Bearing, Disc, Outline, Shank, Solid
from service.documents.rig.ends import Member

from .heads import HEADS, crown
from .pen import LINE, Pen
from .shanks import ROD, pin_of, shank, threads

Sketch = Callable[[Pen, Member], None]
PLAIN: Outline = (Shank(0.0), Bearing(0.0, 0.0, 1.6))  # for a terminal whose family the quote does not state


def headed(family: str) -> Sketch:
    """A fork, eye or toggle with its shank, seen along its pin."""

    def sketch(pen: Pen, member: Member) -> None:
        pin = pin_of(pen, member.length)
        neck = HEADS[family](pen, pin)
        shank(pen, min(neck, 0.9 * member.length), member)

    return sketch


def stud(pen: Pen, member: Member) -> None:
    """Draw a stud: in a turnbuckle only its neck; bare, it bears on the last thread, and a plain tip beyond is not counted."""
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


def outlined(outline: Outline) -> Sketch:
    """A terminal as its family describes it, in wire diameters."""

    def sketch(pen: Pen, member: Member) -> None:
        d = pen.wire
        for shape in outline:
            match shape:
                case Shank(start):
                    shank(pen, start * d, member)
                case Solid(points):
                    pen.both([(along * d, across * d) for along, across in points])
                case Disc(along, radius):
                    pen.disc(along * d, radius * d)
                case Bearing(along, inner, outer):
                    pen.bearing(along * d, inner * d, outer * d)

    return sketch


def thimble(pen: Pen, member: Member) -> None:
    """Draw the wire round the thimble to scale, closed by its sleeves; it bears on the inside of the crown."""
    sizes, d = member.sizes, pen.wire
    inside, away = sizes["crown_radius"] or 2 * d, sizes["to_sleeve"] or 8 * d
    groove = max(sizes.get("groove_radius") or 2.3 * d, inside + 0.2 * d)
    heart = pen.moved(inside)  # its zero is the centre of the crown
    _loop(heart, groove + d / 2, away, d)
    _heart(heart, inside, away)
    crown(heart, 0.0, inside)
    _sleeves(pen.moved(inside + away), sizes)


def deadeye(pen: Pen, member: Member) -> None:
    """Draw the wire round the deadeye to scale, closed by its sleeves; it bears on the bottom of the groove."""
    radius, away = member.sizes["groove_radius"], member.sizes["to_sleeve"]
    centre = pen.moved(radius)
    _loop(centre, radius + pen.wire / 2, away, pen.wire)
    centre.disc(0.0, radius)
    for along, across in ((-0.35, 0.0), (0.2, 0.35), (0.2, -0.35)):  # the holes of its lanyard
        hole = centre.at(along * radius, across * radius)
        centre.path(f"M{hole} L{hole}", stroke_width=0.2 * radius * pen.scale, stroke_linecap="round")
    crown(centre, 0.0, radius)
    _sleeves(pen.moved(radius + away), member.sizes)


def _sleeves(face: Pen, sizes: dict[str, float]) -> None:
    """The sleeves beyond their face, with the tail beside the wire."""
    d, at = face.wire, 0.0
    count = max(1, round(sizes.get("sleeves", 1.0)))
    long = sizes.get("pressed_length") or 4 * d
    face.outline([(0.0, d / 2), (sizes["covered"], d / 2), (sizes["covered"], 1.5 * d), (0.0, 1.5 * d)])
    for _ in range(count):
        slant = min(0.6 * d, long / 5)
        face.both([(at, 1.2 * d), (at + slant, 1.6 * d), (at + long - slant, 1.6 * d), (at + long, 1.2 * d)])
        at += long + sizes.get("gap", 0.0)


def _tangent(radius: float, away: float, aside: float) -> float:
    """The angle at the crown's centre, from the wire, of the point where the leg from the sleeve face touches a circle of that radius."""
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
    pen.path(d_path, stroke_width=broad + LINE, stroke_linejoin="round")
    pen.path(d_path, stroke="#fff", stroke_width=max(broad - LINE, 0.6), stroke_linejoin="round")


def _heart(pen: Pen, radius: float, away: float) -> None:
    pen.path(_teardrop(pen, radius, 0.86 * away, 0.0) + "Z")


_BY_SIDE = {"jaw": "fork", "tongue": "eye"}
_OWN: dict[str, Sketch] = {
    "toggle": headed("toggle"),
    "stud": stud,
    "thimble_eye": thimble,
    "deadeye": deadeye,
    "terminal": outlined(PLAIN),
}


def sketch_of(kind: str) -> Sketch:
    """The symbol of a member: its own, or its family's outline, or the head of its side; a plain shank if the family is not known."""
    family = FAMILIES.get(kind)
    if kind in _OWN or family is None:
        return _OWN.get(kind, _OWN["terminal"])
    if family.outline:
        return outlined(family.outline)
    return headed(_BY_SIDE[family.side]) if family.side in _BY_SIDE else _OWN["terminal"]
