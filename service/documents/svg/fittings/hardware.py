"""What connects a terminal to the boat or to another wire: links, and the parts of a turnbuckle."""

from __future__ import annotations

from service.documents.rig.ends import Member

from .heads import HEADS, JAW, RING, cheek, crown, hole
from .pen import LINE, Pen
from .shanks import PIN, ROD, clevis, pin_of, stem, threads
from .terminals import Sketch

BODY = 1.75  # half the width of a turnbuckle body, in wire diameters


def toggle_link(pen: Pen, member: Member) -> None:
    """Draw a cheek at its own hole, and a rounded tongue with the hole for the pin joining it to the next member; both holes turned to be
    seen.
    """
    whole = member.sizes["whole"]
    pin = min(member.sizes["pin"] or PIN * pen.wire, whole / 2.5)
    joint, tongue = whole - pin / 2, RING * pin
    pen.disc(joint, tongue)
    pen.box(1.2 * pin, joint, 0.8 * tongue)
    pen.both([(joint - 0.6 * tongue, 0.78 * tongue), (joint, 0.78 * tongue)], stroke="none")
    cheek(pen, pin, [(1.3 * pin, JAW * pin), (1.6 * pin, 0.8 * tongue)])
    pen.hole(joint, pin / 2)
    hole(pen, pin)


def shackle(pen: Pen, member: Member) -> None:
    """Draw a bow on its pin; it bears on the side of the pin towards the wire."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(PIN * d, whole / 2)
    half, thick = 1.5 * d, 0.7 * d
    round_from = max(0.0, whole - half)
    bow = f"M{pen.at(-pin, -half)} L{pen.at(round_from, -half)} "
    radius = pen.scale * (half + thick / 2)
    bow += f"A{radius:.4f} {radius:.4f} 0 0 {0 if pen.way > 0 else 1} {pen.at(round_from, half)} L{pen.at(-pin, half)}"
    pen.path(bow, stroke_width=pen.scale * thick + LINE)
    pen.path(bow, stroke="#fff", stroke_width=max(0.6, pen.scale * thick - LINE))
    clevis(pen, -pin, pin, half + thick)
    pen.bearing(0.0, 0.0, half - thick / 2)


def insulator(pen: Pen, member: Member) -> None:
    """Draw a ribbed body between two eyes; the outer eye shows its hole."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(member.sizes["pin"] or PIN * d, whole / 6)
    start, end = 1.8 * pin, whole - 1.8 * pin
    pen.box(0.8 * pin, whole - 0.8 * pin, 0.6 * d)
    pen.box(start, end, 1.5 * d)
    for rib in range(1, 6):
        along = start + (end - start) * rib / 6
        pen.box(along - 0.25 * d, along + 0.25 * d, 2.1 * d)
    _eye(pen, whole - pin / 2, pin)
    pen.disc(pin / 2, _ring(pen, pin))
    hole(pen, pin)


def bridle_plate(pen: Pen, member: Member) -> None:
    """Draw a plate that widens from one hole toward the wire to two toward the legs."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(member.sizes["pin"] or PIN * d, whole / 4)
    wide = 1.6 * pin
    pen.both([(-0.7 * pin, wide + pin), (0.9 * pin, wide + pin), (whole + 0.2 * pin, 1.0 * pin), (whole + 0.7 * pin, 0.5 * pin)])
    for across in (-wide, wide):
        pen.hole(pin / 2, pin / 2, across)
        crown(pen, pin / 2, pin / 2, across)
    pen.hole(whole - pin / 2, pin / 2)


def gate_hook(pen: Pen, member: Member) -> None:
    """Draw a closed hook on an eye; it bears on the inside of the hook."""
    d, whole = pen.wire, member.sizes["whole"]
    pin = min(member.sizes["pin"] or PIN * d, whole / 6)
    bar, opening = 0.9 * d, 1.4 * d
    round_to = opening
    pen.box(0.35 * whole, whole - 0.8 * pin, 0.8 * d)
    start = f"M{pen.at(0.4 * whole, -opening)} L{pen.at(round_to, -opening)} "
    radius = pen.scale * opening
    bent = start + f"A{radius:.4f} {radius:.4f} 0 0 {1 if pen.way > 0 else 0} {pen.at(round_to, opening)} L{pen.at(0.4 * whole, opening)}"
    pen.path(bent + " Z", stroke_width=pen.scale * bar + LINE, stroke_linejoin="round")
    pen.path(bent + " Z", stroke="#fff", stroke_width=max(0.6, pen.scale * bar - LINE), stroke_linejoin="round")
    _eye(pen, whole - pin / 2, pin)
    crown(pen, round_to, opening - bar / 2)


def _eye(pen: Pen, along: float, pin: float) -> None:
    """A ring with its hole."""
    pen.disc(along, _ring(pen, pin))
    pen.hole(along, pin / 2)


def _ring(pen: Pen, pin: float) -> float:
    """The radius of a ring, mm."""
    return max(RING * pin, 0.6 * pen.wire)


def screw(head: str) -> Sketch:
    """A turnbuckle's screw, from its fitting's bearing to the end of its thread."""

    def sketch(pen: Pen, member: Member) -> None:
        neck = HEADS[head](pen, pin_of(pen, max(1.3 * member.length, 2.5 * PIN * pen.wire)))
        stem(pen, min(neck, member.length), member.length)

    return sketch


def inner_screw(head: str) -> Sketch:
    """The same facing the wire: its bearing is at its inner end."""
    outward = screw(head)

    def sketch(pen: Pen, member: Member) -> None:
        turned = Pen(pen.sheet, pen.x, pen.moved(member.length).y, -pen.way, pen.scale, pen.wire)
        outward(turned, member)

    return sketch


def exposed_thread(pen: Pen, member: Member) -> None:
    """Draw the thread between the face of the body and the run-out."""
    threads(pen, 0.0, member.length)


def open_body(pen: Pen, member: Member) -> None:
    """Draw two bosses joined by bars, with both screws visible inside. How far the boat-side screw reaches is not known: its tip is
    dashed.
    """
    d, length = pen.wire, member.length
    half, boss = BODY * d, min(2.2 * d, length / 5)
    inner = min(member.sizes.get("inside") or 0.4 * length, 0.48 * length)
    tip = 0.36 * length
    pen.box(0.0, length, half)
    pen.box(boss, length - boss, 1.15 * d)
    threads(pen, boss, tip)
    pen.outline([(tip, -ROD * d), (tip, ROD * d)], closed=False, stroke="#fff", stroke_width=2.0)
    pen.hidden([(tip, -ROD * d), (tip, ROD * d)])
    threads(pen, max(length - inner, 0.5 * length), length - boss)
    for start in (0.0, length - boss):
        pen.box(start, start + boss, half)


def tubular_body(pen: Pen, member: Member) -> None:
    """Draw a closed tube with sight holes; the screws inside are hidden."""
    d, length = pen.wire, member.length
    half = 1.5 * d
    pen.both([(0.0, 1.2 * d), (0.6 * d, half), (length - 0.6 * d, half), (length, 1.2 * d)])
    inner = min(member.sizes.get("inside") or 0.4 * length, 0.48 * length)
    for start, end in ((0.0, 0.36 * length), (length - inner, length)):
        for across in (-ROD * d, ROD * d):
            pen.hidden([(start, across), (end, across)])
    for along in (0.28 * length, 0.72 * length):
        pen.disc(along, 0.4 * d)


def plain_body(pen: Pen, member: Member) -> None:
    """Draw a body when the quote does not say whether it is open."""
    pen.box(0.0, member.length, 1.5 * pen.wire)


HARDWARE: dict[str, Sketch] = {
    "toggle link": toggle_link, "shackle link": shackle, "insulator link": insulator, "bridle_plate link": bridle_plate, "gate_hook link": gate_hook,
    "thread": exposed_thread,
    "open body": open_body, "tubular body": tubular_body, "body": plain_body,
    **{f"screw {head}": screw(head) for head in HEADS},
    **{f"inner screw {head}": inner_screw(head) for head in HEADS},
}  # fmt: skip
