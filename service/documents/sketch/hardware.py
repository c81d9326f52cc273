"""What hangs between a terminal and the boat: toggles, shackles, and a turnbuckle's parts."""

from __future__ import annotations

from service.documents.rig.ends import Member

from .heads import HEADS
from .pen import DASHES, FINE, Pen
from .shanks import PIN, ROD, clevis, pin_of, stem, threads
from .terminals import Sketch

BODY = 1.75  # half a turnbuckle body's breadth, in wire diameters


def toggle_link(pen: Pen, member: Member) -> None:
    """Two cheeks from its own pin to the pin that joins it to the next member."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(member.sizes["pin"] or PIN * d, whole / 2.5)
    half = 1.7 * d
    pen.both([(-0.7 * pin, half), (whole + 0.5 * pin, half)])
    for across in (-0.95 * d, 0.95 * d):
        pen.outline([(-0.7 * pin, across), (whole + 0.5 * pin, across)], closed=False, stroke_width=FINE)
    clevis(pen, 0.0, pin, half)
    pen.bearing(0.0, 0.95 * d, half)


def shackle(pen: Pen, member: Member) -> None:
    """A bow on its pin; it bears on the pin's face toward the wire."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(PIN * d, whole / 2)
    half, thick = 1.5 * d, 0.7 * d
    round_from = max(0.0, whole - half)
    bow = f"M{pen.at(-pin, -half)} L{pen.at(round_from, -half)} "
    radius = pen.scale * (half + thick / 2)
    bow += f"A{radius:.4f} {radius:.4f} 0 0 {0 if pen.way > 0 else 1} {pen.at(round_from, half)} L{pen.at(-pin, half)}"
    pen.path(bow, stroke_width=pen.scale * thick + 1.1)
    pen.path(bow, stroke="#fff", stroke_width=max(0.6, pen.scale * thick - 1.1))
    clevis(pen, -pin, pin, half + thick)
    pen.bearing(0.0, 0.0, half - thick / 2)


def screw(head: str) -> Sketch:
    """A turnbuckle's screw from its fitting's bearing to where its thread ends."""

    def sketch(pen: Pen, member: Member) -> None:
        neck = HEADS[head](pen, pin_of(pen, max(member.length, 2.5 * PIN * pen.wire)))
        stem(pen, min(neck, member.length), member.length)

    return sketch


def inner_screw(head: str) -> Sketch:
    """The same turned toward the wire: its bearing is at its inner end."""
    outward = screw(head)

    def sketch(pen: Pen, member: Member) -> None:
        turned = Pen(pen.sheet, pen.x, pen.moved(member.length).y, -pen.way, pen.scale, pen.wire)
        outward(turned, member)

    return sketch


def exposed_thread(pen: Pen, member: Member) -> None:
    """Thread between the body's face and the run-out."""
    threads(pen, 0.0, member.length)


def open_body(pen: Pen, member: Member) -> None:
    """Two bosses joined by bars; both screws are seen inside. How far the boat's own screw reaches is not told: its tip is dashed."""
    d, length = pen.wire, member.length
    half, boss = BODY * d, min(2.2 * d, length / 5)
    inner = min(member.sizes.get("inside") or 0.4 * length, 0.48 * length)
    tip = 0.36 * length
    pen.box(0.0, length, half)
    pen.box(boss, length - boss, 1.15 * d)
    threads(pen, boss, tip)
    pen.outline([(tip, -ROD * d), (tip, ROD * d)], closed=False, stroke="#fff", stroke_width=2.0)
    pen.outline([(tip, -ROD * d), (tip, ROD * d)], closed=False, stroke_dasharray="2 2")
    threads(pen, max(length - inner, 0.5 * length), length - boss)
    for start in (0.0, length - boss):
        pen.box(start, start + boss, half)


def tubular_body(pen: Pen, member: Member) -> None:
    """A closed tube with sight holes; the screws inside are hidden."""
    d, length = pen.wire, member.length
    half = 1.5 * d
    pen.both([(0.0, 1.2 * d), (0.6 * d, half), (length - 0.6 * d, half), (length, 1.2 * d)])
    inner = min(member.sizes.get("inside") or 0.4 * length, 0.48 * length)
    for start, end in ((0.0, 0.36 * length), (length - inner, length)):
        for across in (-ROD * d, ROD * d):
            pen.outline([(start, across), (end, across)], closed=False, stroke_width=FINE, stroke_dasharray=DASHES)
    for along in (0.28 * length, 0.72 * length):
        pen.disc(along, 0.4 * d)


def plain_body(pen: Pen, member: Member) -> None:
    """A body of which the quote does not tell whether it is open."""
    pen.box(0.0, member.length, 1.5 * pen.wire)


HARDWARE: dict[str, Sketch] = {
    "toggle link": toggle_link, "shackle link": shackle, "thread": exposed_thread,
    "open body": open_body, "tubular body": tubular_body, "body": plain_body,
    **{f"screw {head}": screw(head) for head in HEADS},
    **{f"inner screw {head}": inner_screw(head) for head in HEADS},
}  # fmt: skip
