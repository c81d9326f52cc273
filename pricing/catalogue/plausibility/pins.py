"""Links, clevis pins and cotter pins: by the pin."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pricing.catalogue.plausibility.ends import pin_ends
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.errors import Doubt

STEEL = 7.9e-6  # kg/mm3
KIND = ("kind",)
# length by the pin, mass by its cube in kg/mm3, by kind: common practice, no source
LENGTHS = {"toggle": (2, 9), "shackle": (1.8, 8), "insulator": (6, 45), "bridle_plate": (2.5, 16), "gate_hook": (5, 25)}
LINKS = (
    Scale("length", "pin", 1.8, 45, among=KIND, apart=1.3),
    Scale("inner_hole", "pin", 1.0, 1.8, among=KIND, apart=1.25, play=0.5),
    Scale("inner_hole", "hole", 0.9, 1.8, among=KIND, apart=1.2),
    *pin_ends(KIND),
    Scale("break", "pin", 0.15, 1.6, 2, among=KIND, apart=1.35),
    Scale("mass", "pin", 3e-5, 3e-3, 3, among=KIND, apart=1.6, play=0.0006),
    Scale("bow", "pin", 0.5, 1.6, among=KIND, apart=1.25),
    Scale("bow_inside", "pin", 0.8, 4, among=KIND, apart=1.3),
)
# ISO 2341: pin 6 has a head of 10 and a split-pin hole of 1.6; 8: 14, 2; 10: 18, 3.2; 12: 20, 3.2; 16: 25, 4 mm
ISO_2341 = "ISO 2341 rows, with some more for other makes"
PINS = (
    Scale("grip", "diameter", 0.6, 8, apart=0),
    Scale("head", "diameter", 1.2, 2.2, apart=1.4, source=ISO_2341),
    Scale("cotter", "diameter", 0.14, 0.42, apart=1.5, source=ISO_2341),
    # two sections of pi d2/4 in shear, 200 to 800 N/mm2
    Scale(
        "double_shear",
        "diameter",
        2 * math.pi / 4 * 0.2,
        2 * math.pi / 4 * 0.8,
        2,
        apart=1.35,
        source="two sections of the pin in shear, 200 to 800 N/mm2",
    ),
    Scale("mass", "solid", 0.45, 2.2, apart=1.5, play=0.0006, source="a steel pin of that diameter and grip, with its head"),
)
COTTERS = (
    Scale("diameter", "", 0.5, 8, apart=0),
    Scale("length", "diameter", 5, 30, apart=1.3),
    Scale("mass", "solid", 0.4, 3, apart=2.5, play=0.0011, source="a steel wire of that diameter and twice that length"),
)
_BY = {
    "pin": "with a {size} mm pin",
    "hole": "with a hole of {size} mm",
    "jaw": "with a jaw of {size} mm",
    "diameter": "of {size} mm",
    "solid": "of that size",
}
LINK_WORDS = Wording(lambda row: f"{row['kind'].replace('_', ' ')}s", _BY)
PIN_WORDS = Wording(lambda row: "clevis pins", _BY)
COTTER_WORDS = Wording(lambda row: "cotter pins", _BY)


def links(examined: Examined) -> Iterator[Doubt]:
    """Every column of links.csv that goes by the pin."""
    frame = examined.frame("links")
    yield from scaled(examined, "links", frame, LINKS, LINK_WORDS)
    for kind, (low, high) in LENGTHS.items():
        yield from scaled(examined, "links", frame[frame["kind"] == kind], (Scale("length", "pin", low, high, apart=0),), LINK_WORDS)


def pins(examined: Examined) -> Iterator[Doubt]:
    """Every column of pins.csv; the mass against a solid pin as long as its grip and one diameter more."""
    frame = examined.frame("pins").copy()
    frame["solid"] = STEEL * math.pi / 4 * frame["diameter"] ** 2 * (frame["grip"] + frame["diameter"])
    yield from scaled(examined, "pins", frame, PINS, PIN_WORDS)


def cotters(examined: Examined) -> Iterator[Doubt]:
    """Every column of cotters.csv; a cotter pin is a half-round wire bent double, so about one round section over its length."""
    frame = examined.frame("cotters").copy()
    frame["solid"] = STEEL * math.pi / 4 * frame["diameter"] ** 2 * frame["length"]
    yield from scaled(examined, "cotters", frame, COTTERS, COTTER_WORDS)
