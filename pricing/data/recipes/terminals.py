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
    tongue_for,
    upward,
)
from pricing.data.recipes.eyes import STAINLESS
from pricing.data.recipes.shanks import PUBLISHED, TABLE_7_5, shank_cells, shank_of
from pricing.data.recipes.threads import THREAD_OF, locked_by, thread_code
from pricing.fittings import FAMILIES

ALL = ("1x19", "compacted_1x19", "7x7", "7x19")
LARGEST_7X7 = Fraction(8)  # mm: no terminal takes thicker 7x7

# family, in the order of the table: reach beyond the bore in pins (wire diameters for tee and ball), grams per cubic mm of wire, price per square mm. Invented.
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
    return [row for kind in CLASSES for row in swaged(kind)] + [
        row for kind in CLASSES if kind.mm >= 3 for row in _attached(kind, "compression")
    ]


def swaged(kind: WireClass) -> Iterator[Row]:
    """The swaged terminals of one class."""
    return _attached(kind, "swage")


def _attached(kind: WireClass, way: str) -> Iterator[Row]:
    """The terminals of one class that are attached that way: by pin, by thread, or one a class."""
    for family in SHAPE:
        asks = FAMILIES[family].asks
        if way not in FAMILIES[family].attachments:
            continue
        if "pin" in asks:
            yield from (_with_pin(kind, family, way, pin) for pin in kind.pins)
        elif "thread" in asks:
            yield from _studs(kind, family, way)
        elif family == "ball":
            yield from (_ball(kind),) if kind.mm < 10 else ()
        elif kind.mm >= 3:
            yield _base(kind, family, way, kind.mm)


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
        "sku": f"{family.upper().replace('_', '-')}-{'SW' if swaged else 'CO'}-{kind.code}{code}",
        "name": f"{FAMILIES[family].words.capitalize()}, {attachment}, for {kind.words} wire",
        "family": family,
        "attachment": attachment,
        "constructions": listing(constructions),
        "wire_sizes": listing([size.text for size in kind.sizes]),
        "reach": shop_dim(depth + pins * unit + more_reach, inch, 32),
        **(shank_cells(kind) if swaged else none),
        "break": kilonewtons(kind.strongest(constructions) * Fraction(105, 100) + 100),
        "mass": grams(kind.mm**3 * mass * (1 if swaged else Fraction(14, 10))),
        "materials": STAINLESS,
        "source": f"{TABLE_7_5}; the rest {INVENTED}" if swaged and kind.first.text in PUBLISHED else INVENTED,
        "_price": money((6 + kind.mm**2 * price) * (1 if swaged else Fraction(19, 10))),
    }


def _with_pin(kind: WireClass, family: str, attachment: str, pin: Size) -> Row:
    second = pin is not kind.pins[0]
    row = _base(kind, family, attachment, pin.mm, code=f"-P{pin.code}" if second else "")
    row["name"] += f", {pin.text} pin"
    return {**row, "pin": pin.text, **pin_hole(pin), **(tongue_for(pin) if FAMILIES[family].side == "tongue" else jaw_for(pin))}


def _ball(kind: WireClass) -> Row:
    inch, shank = kind.first.inch, shank_of(kind)
    ball = nearest(Fraction(26, 10) * kind.mm, INCH / 16 if inch else Fraction(1, 2))
    slot = upward(shank.after + Fraction(3, 10), INCH / 32 if inch else Fraction(1, 2))
    row = _base(kind, "ball", "swage", kind.mm)
    return {**row, "ball": shop_dim(ball, inch), "slot": shop_dim(slot, inch)}


def _studs(kind: WireClass, family: str, attachment: str) -> Iterator[Row]:
    for designation in kind.threads:
        thread = THREAD_OF[designation]
        inch = not thread.metric
        for hand in ("right", "left"):
            code = f"-{thread_code(designation)}-{hand[0].upper()}H"
            row = _base(kind, family, attachment, kind.mm, thread.thread_length, code)
            row["name"] += f", {designation} {hand}-hand"
            row["thread"], row["hand"] = designation, hand
            row["thread_length"], row["plain_tip"] = shop_dim(thread.thread_length, inch), shop_dim(thread.tip, inch)
            yield {**row, **locked_by(thread)}


def backing_plates() -> list[Row]:
    """backing_plates.csv: one for the tee of each class of wires."""
    return [_backing_plate(kind) for kind in CLASSES if kind.mm >= 3]


def _backing_plate(kind: WireClass) -> Row:
    inch = kind.first.inch
    thickness = nearest(kind.mm * Fraction(6, 10), INCH / 32 if inch else Fraction(1, 2))
    slot = upward(shank_of(kind).after + Fraction(3, 10), INCH / 32 if inch else Fraction(1, 2))
    return {
        "sku": f"BACKING-PLATE-{kind.code}",
        "name": f"Backing plate for a tee on {kind.words} wire",
        "wire_sizes": listing([size.text for size in kind.sizes]),
        "thickness": shop_dim(thickness, inch),
        "slot": shop_dim(slot, inch),
        "mass": grams(kind.mm**3 * Fraction(20, 100)),
        "source": INVENTED,
        "_price": money(4 + kind.mm**2 * Fraction(18, 100)),
    }


def cones() -> list[Row]:
    """cones.csv: what a compression terminal that is fitted again takes anew."""
    return [_cone(kind, construction) for kind in CLASSES if kind.mm >= 3 for construction in _constructions(kind, "fork", "compression")]


def _cone(kind: WireClass, construction: str) -> Row:
    return {
        "sku": f"CONE-{construction.upper()}-{kind.code}",
        "name": f"Cone for a compression terminal, {construction}, {kind.words} wire",
        "constructions": construction,
        "wire_sizes": listing([size.text for size in kind.sizes]),
        "mass": grams(kind.mm**3 * Fraction(3, 100)),
        "source": INVENTED,
        "_price": money(2 + kind.mm**2 * Fraction(15, 100)),
    }
