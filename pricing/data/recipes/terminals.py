"""Terminals: swaged and compression, every family, each wire class. Dimensions invented but for shanks that name their source."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from pricing.data.recipes.classes import CLASSES, WireClass
from pricing.data.recipes.common import (
    INCH,
    INVENTED,
    Row,
    Size,
    grams,
    jaw_for,
    kilonewtons,
    listing,
    money,
    nearest,
    pin_hole,
    shop_dim,
    upward,
)
from pricing.data.recipes.shanks import PUBLISHED, TABLE_7_5, shank_cells, shank_of
from pricing.data.recipes.threads import THREAD_OF, thread_code

ALL = ("1x19", "compacted_1x19", "7x7", "7x19")
LARGEST_7X7 = Fraction(8)  # mm: no terminal takes thicker 7x7

# family: reach beyond the bore in pins (wire diameters for tee and ball), grams per cubic mm of wire, price per square mm. Invented.
SHAPE = {
    "fork": (Fraction(24, 10), Fraction(55, 100), Fraction(110, 100)),
    "eye": (Fraction(18, 10), Fraction(45, 100), Fraction(90, 100)),
    "toggle": (Fraction(35, 10), Fraction(90, 100), Fraction(150, 100)),
    "tee": (Fraction(15, 10), Fraction(40, 100), Fraction(95, 100)),
    "ball": (Fraction(12, 10), Fraction(35, 100), Fraction(80, 100)),
    "stud": (Fraction(5, 10), Fraction(50, 100), Fraction(85, 100)),
}


def terminals() -> list[Row]:
    """terminals.csv."""
    swaged = [row for kind in CLASSES for row in _swaged(kind)]
    return swaged + [row for kind in CLASSES if kind.mm >= 3 for row in _compressed(kind)]


def _swaged(kind: WireClass) -> Iterator[Row]:
    for family in ("fork", "eye", "toggle"):
        yield from (_with_pin(kind, family, "swage", pin) for pin in kind.pins)
    if kind.mm >= 3:
        yield _base(kind, "tee", "swage", kind.mm)
    if kind.mm < 10:
        yield _ball(kind)
    yield from _studs(kind, "swage")


def _compressed(kind: WireClass) -> Iterator[Row]:
    for family in ("fork", "eye", "toggle"):
        yield from (_with_pin(kind, family, "compression", pin) for pin in kind.pins)
    yield from _studs(kind, "compression")


def _constructions(kind: WireClass, family: str, attachment: str) -> tuple[str, ...]:
    if attachment == "compression":
        return ("1x19", "7x7") if kind.mm <= LARGEST_7X7 else ("1x19",)
    fit = ("1x19", "compacted_1x19") if family == "tee" else ALL
    thick, thin = kind.mm > LARGEST_7X7, kind.mm < 3
    return tuple(name for name in fit if not (thick and name == "7x7") and not (thin and name == "compacted_1x19"))


def _base(kind: WireClass, family: str, attachment: str, unit: Fraction, more_reach: Fraction = Fraction(0), code: str = "") -> Row:
    pins, mass, price = SHAPE[family]
    swaged, inch = attachment == "swage", kind.first.inch
    depth = shank_of(kind).depth if swaged else nearest(Fraction(5, 2) * kind.mm + 8, INCH / 32 if inch else Fraction(1, 10))
    constructions = _constructions(kind, family, attachment)
    none = {"depth": shop_dim(depth, inch, 32), "growth": "0 mm", "growth_u": "0.5 mm"}
    return {
        "sku": f"{family.upper()}-{'SW' if swaged else 'CO'}-{kind.code}{code}",
        "name": f"{family.capitalize()}, {attachment}, for {kind.words} wire",
        "family": family,
        "attachment": attachment,
        "constructions": listing(constructions),
        "wire_sizes": listing([size.text for size in kind.sizes]),
        "reach": shop_dim(depth + pins * unit + more_reach, inch, 32),
        **(shank_cells(kind) if swaged else none),
        "break": kilonewtons(kind.strongest(constructions) * Fraction(105, 100) + 100),
        "mass": grams(kind.mm**3 * mass * (1 if swaged else Fraction(14, 10))),
        "source": f"{TABLE_7_5}; the rest {INVENTED}" if swaged and kind.first.text in PUBLISHED else INVENTED,
        "_price": money((6 + kind.mm**2 * price) * (1 if swaged else Fraction(19, 10))),
    }


def _with_pin(kind: WireClass, family: str, attachment: str, pin: Size) -> Row:
    second = pin is not kind.pins[0]
    row = _base(kind, family, attachment, pin.mm, code=f"-P{pin.code}" if second else "")
    row["name"] += f", {pin.text} pin"
    jaw = {} if family == "eye" else {"jaw": jaw_for(pin)}
    return {**row, "pin": pin.text, **pin_hole(pin), **jaw}


def _ball(kind: WireClass) -> Row:
    inch, shank = kind.first.inch, shank_of(kind)
    ball = nearest(Fraction(26, 10) * kind.mm, INCH / 16 if inch else Fraction(1, 2))
    slot = upward(shank.after + Fraction(3, 10), INCH / 32 if inch else Fraction(1, 2))
    row = _base(kind, "ball", "swage", kind.mm)
    return {**row, "ball": shop_dim(ball, inch), "slot": shop_dim(slot, inch)}


def _studs(kind: WireClass, attachment: str) -> Iterator[Row]:
    for designation in kind.threads:
        thread = THREAD_OF[designation]
        inch = not thread.metric
        for hand in ("right", "left"):
            code = f"-{thread_code(designation)}-{hand[0].upper()}H"
            row = _base(kind, "stud", attachment, kind.mm, thread.thread_length, code)
            row["name"] += f", {designation} {hand}-hand"
            row["thread"], row["hand"] = designation, hand
            row["thread_length"], row["plain_tip"] = shop_dim(thread.thread_length, inch), shop_dim(thread.tip, inch)
            yield row
