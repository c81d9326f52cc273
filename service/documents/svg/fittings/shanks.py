"""What fittings share: the shank that holds the wire, threads, clevis pins. Proportions are symbolic, not those of any manufacturer's
part.
"""

from __future__ import annotations

from service.documents.rig.ends import Member

from .pen import FINE, Pen

SHANK = 0.9  # half its width, in wire diameters
ROD = 0.8  # half a screw's
PIN = 1.9  # a clevis pin


def pin_of(pen: Pen, length: float) -> float:
    """A pin's diameter as drawn, mm: smaller if the fitting is short."""
    return min(PIN * pen.wire, length / 4)


def shank(pen: Pen, start: float, member: Member) -> None:
    """Draw the shank from the head to the mouth; the bottom of the bore is dashed. A swaged one is plain and smooth, a compression
    terminal stepped: body, hexagonal nut, collar.
    """
    d, mouth = pen.wire, member.length
    if member.sizes.get("compression"):
        _nut_and_body(pen, start, mouth)
    else:
        pen.both([(start, SHANK * d), (mouth - 0.5 * d, SHANK * d), (mouth, 0.62 * d)], class_="smooth")
    depth = min(member.sizes.get("depth", 0.0), mouth - start)
    if depth > 0:
        bottom = mouth - depth
        pen.hidden([(mouth, -0.5 * d), (bottom, -0.5 * d), (bottom, 0.5 * d), (mouth, 0.5 * d)])


def _nut_and_body(pen: Pen, start: float, mouth: float) -> None:
    """Draw a body that widens from the head, a hexagonal nut seen across its corners (three faces), and a collar at the mouth."""
    d, long = pen.wire, mouth - start
    body, face, back = start + 0.12 * long, start + 0.48 * long, start + 0.86 * long
    pen.box(back, mouth, 0.85 * d)
    pen.both([(start, ROD * d), (body, 1.3 * d), (face, 1.3 * d)])
    chamfer = min(0.3 * d, (back - face) / 4)
    pen.both([(face, 1.5 * d), (face + chamfer, 1.8 * d), (back - chamfer, 1.8 * d), (back, 1.5 * d)], class_="nut")
    for across in (-0.9 * d, 0.9 * d):
        pen.outline([(face, across), (back, across)], closed=False)


def stem(pen: Pen, start: float, end: float) -> None:
    """Draw the plain part of a screw between its fitting and its thread."""
    if end > start:
        pen.box(start, end, ROD * pen.wire)


def threads(pen: Pen, start: float, end: float) -> None:
    """Draw a threaded rod: outline and slanting lines, 3 px apart."""
    if end <= start:
        return
    half = ROD * pen.wire
    pen.box(start, end, half)
    pitch = 3.0 / pen.scale
    at = start + pitch / 2
    while at + pitch / 3 <= end:
        pen.outline([(at, -half), (at + pitch / 3, half)], closed=False, stroke_width=FINE, class_="thread")
        at += pitch


def clevis(pen: Pen, start: float, pin: float, half: float) -> None:
    """Draw a clevis pin across the axis: head on the left, cotter pin on the right."""
    d = pen.wire
    pen.outline([(start, -half), (start, half + 0.55 * d), (start + pin, half + 0.55 * d), (start + pin, -half)])
    pen.outline(
        [(start - 0.2 * pin, -half - 0.4 * d), (start + 1.2 * pin, -half - 0.4 * d), (start + 1.2 * pin, -half), (start - 0.2 * pin, -half)]
    )
    pen.outline([(start - 0.25 * pin, half + 0.3 * d), (start + 1.25 * pin, half + 0.3 * d)], closed=False)
