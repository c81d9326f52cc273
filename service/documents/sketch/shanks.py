"""What fittings share: the shank that takes the wire, threads, clevis pins. Proportions are those of a sign, not of any maker's part."""

from __future__ import annotations

from service.documents.rig.ends import Member

from .pen import DASHES, FINE, Pen

SHANK = 0.9  # half its breadth, in wire diameters
ROD = 0.8  # half a screw's
PIN = 1.9  # a clevis pin


def pin_of(pen: Pen, length: float) -> float:
    """A pin's diameter as drawn, mm: less where the fitting is short."""
    return min(PIN * pen.wire, length / 4)


def shank(pen: Pen, start: float, member: Member) -> None:
    """From the head to the mouth; the bore's bottom is dashed. A compression terminal has its two nuts."""
    d, mouth = pen.wire, member.length
    half = SHANK * d
    if member.sizes.get("compression"):
        pen.box(start, mouth, 1.2 * d)
        middle = (start + mouth) / 2
        for along in (middle - 0.12 * (mouth - start), middle + 0.12 * (mouth - start)):
            pen.outline([(along, -1.2 * d), (along, 1.2 * d)], closed=False)
        for across in (-0.5 * d, 0.5 * d):
            pen.outline([(start, across), (mouth, across)], closed=False, stroke_width=FINE)
    else:
        pen.both([(start, half), (mouth - 0.5 * d, half), (mouth, 0.62 * d)])
    depth = min(member.sizes.get("depth", 0.0), mouth - start)
    if depth > 0:
        bottom = mouth - depth
        pen.outline(
            [(mouth, -0.5 * d), (bottom, -0.5 * d), (bottom, 0.5 * d), (mouth, 0.5 * d)],
            closed=False,
            stroke_width=FINE,
            stroke_dasharray=DASHES,
        )


def stem(pen: Pen, start: float, end: float) -> None:
    """A screw's plain part between its fitting and its thread."""
    if end > start:
        pen.box(start, end, ROD * pen.wire)


def threads(pen: Pen, start: float, end: float) -> None:
    """A threaded rod: outline and slanting lines, 3 px apart."""
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
    """A clevis pin across the axis: head on the left, cotter on the right."""
    d = pen.wire
    pen.outline([(start, -half), (start, half + 0.55 * d), (start + pin, half + 0.55 * d), (start + pin, -half)])
    pen.outline(
        [(start - 0.2 * pin, -half - 0.4 * d), (start + 1.2 * pin, -half - 0.4 * d), (start + 1.2 * pin, -half), (start - 0.2 * pin, -half)]
    )
    pen.outline([(start - 0.25 * pin, half + 0.3 * d), (start + 1.25 * pin, half + 0.3 * d)], closed=False)
