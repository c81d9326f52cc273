"""Thimbles, sleeves, ball stops, cones and backing plates: by the wire."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.catalogue.plausibility.sizes import sized
from pricing.errors import Doubt

STEEL = 7.9e-6  # kg/mm3
THIMBLES = (
    Scale("groove_radius", "wire", 1.2, 4.5, apart=1.25, play=0.4),
    Scale("crown_radius", "wire", 1.0, 4, apart=1.25, play=0.4),
    Scale("crown_radius", "groove_radius", 0.6, 0.98, apart=1.12, play=0.2),
    Scale("crown_to_sleeve", "wire", 4, 14, apart=1.25),
    Scale("largest_pin", "crown_radius", 1.2, 2.1, apart=1.15),
    Scale("width", "wire", 1.0, 2.6, apart=1.25, play=0.3),
    Scale("mass", "wire", 2e-5, 6e-4, 3, apart=1.7, play=0.0006),
)
SLEEVES = (
    Scale("pressed_length", "wire", 2.5, 10, apart=1.25),
    Scale("per_eye", "", 1, 4, apart=0),
    Scale("gap", "wire", 0, 4, among=("per_eye",), apart=1.4, play=0.5),
    Scale("tail", "wire", 0.1, 4, apart=1.45, play=0.5),
    Scale("holds", "", 60, 100, apart=1.2),
    Scale("mass", "wire", 1e-5, 5e-4, 3, apart=1.7, play=0.0006),
)
BALLS = (
    Scale("ball", "wire", 1.4, 5, apart=1.7),
    Scale("slot", "wire", 1.0, 1.7, apart=1.2, play=0.4),
    Scale("mass", "solid", 0.4, 1.25, apart=1.5, play=0.0006, source="a steel ball of that diameter"),
)
CONES = (Scale("mass", "wire", 3e-6, 2e-4, 3, apart=1.9, play=0.0006),)
PLATES = (
    Scale("thickness", "wire", 0.25, 1.5, apart=1.4, play=0.4),
    Scale("slot", "wire", 1.2, 3, apart=1.2, play=0.3),
    Scale("mass", "wire", 2e-5, 2e-3, 3, apart=1.8, play=0.0006),
)
_BY = {
    "wire": "for {size} mm wire",
    "groove_radius": "with a groove of {size} mm",
    "crown_radius": "with a crown of {size} mm",
    "solid": "of that size",
}


def _wording(name: str) -> Wording:
    return Wording(lambda row: name, _BY)


def thimbles(examined: Examined) -> Iterator[Doubt]:
    """Every column of thimbles.csv."""
    yield from scaled(examined, "thimbles", sized(examined, "thimbles"), THIMBLES, _wording("thimbles"))


def sleeves(examined: Examined) -> Iterator[Doubt]:
    """Every column of sleeves.csv; a gap only where an eye takes more than one."""
    frame = sized(examined, "sleeves")
    yield from scaled(examined, "sleeves", frame, SLEEVES, _wording("sleeves"))
    for at, per_eye, gap in zip(frame.index, frame["per_eye"], frame["gap"], strict=True):
        if per_eye == 1 and gap > 0:
            yield examined.doubt("sleeves", at, "gap", "0 mm, since an eye takes one sleeve", "there is no gap where there is one sleeve")


def balls(examined: Examined) -> Iterator[Doubt]:
    """Every column of balls.csv; the mass against a steel ball."""
    frame = sized(examined, "balls").copy()
    frame["solid"] = STEEL * math.pi / 6 * frame["ball"] ** 3
    yield from scaled(examined, "balls", frame, BALLS, _wording("ball stops"))


def cones(examined: Examined) -> Iterator[Doubt]:
    """The mass of a cone by its wire."""
    yield from scaled(examined, "cones", sized(examined, "cones"), CONES, _wording("cones"))


def backing_plates(examined: Examined) -> Iterator[Doubt]:
    """Every column of backing_plates.csv."""
    yield from scaled(examined, "backing_plates", sized(examined, "backing_plates"), PLATES, _wording("backing plates"))
