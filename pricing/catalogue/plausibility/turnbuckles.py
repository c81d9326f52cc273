"""Threads, turnbuckle bodies, screws and locknuts: by the thread, whose diameter and pitch its designation gives."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from pricing.catalogue.plausibility.ends import pin_ends, thread_ends
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.catalogue.plausibility.sizes import sized
from pricing.errors import Doubt

INCH = Decimal("25.4")
WITHIN = Decimal("0.005")  # of a thread's diameter and pitch: rounding in the table
STRESS_AREA = "tensile stress area by ISO 898-1 and FED-STD-H28/2B, 200 to 1400 N/mm2"


def _break(among: str) -> Scale:
    """The break of a threaded part by its thread: stainless bolts A4-70 hold 700 N/mm2 on the tensile stress area, A4-50 500 (ISO 3506-1, from memory);
    bodies and screws are made for the wire.
    """
    return Scale("break", "thread_mm2", 0.2, 1.4, among=(among,), apart=1.35, source=STRESS_AREA)


BODIES = (
    Scale("length", "thread_mm", 4, 26, among=("body",), apart=1.35),
    Scale("locknut", "thread_mm", 0, 1.2, among=("body",), apart=1.4),
    Scale("safe_engagement", "thread_mm", 0.6, 2.2, among=("body",), apart=1.3),
    _break("body"),
    Scale("mass", "thread_mm", 3e-5, 1.5e-3, 3, among=("body",), apart=1.7, play=0.0006),
    Scale("boss", "thread_mm", 0.25, 1.6, among=("body",), apart=1.35),
)
SCREWS = (
    *thread_ends(("end",)),
    Scale("runout", "thread_mm", 0.5, 7, among=("end",), apart=1.35),
    Scale("pin", "thread_mm", 0.6, 2, among=("end",), apart=1.4),
    *pin_ends(("end",)),
    _break("end"),
    Scale("mass", "thread_mm", 2e-5, 1.5e-3, 3, among=("end",), apart=1.7, play=0.0006),
)
LOCKNUTS = (Scale("mass", "thread_mm", 2e-6, 6e-5, 3, apart=1.8, play=0.0006),)
_BY = {
    "thread_mm": "on a thread of {size} mm", "thread_mm2": "on {size} mm2 of thread", "pin": "with a {size} mm pin", "jaw": "with a jaw of {size} mm",
}  # fmt: skip
BODY_WORDS = Wording(lambda row: f"{row['body']} bodies", _BY)
SCREW_WORDS = Wording(lambda row: f"screws with {row['end']}", _BY)
NUT_WORDS = Wording(lambda row: "locknuts", _BY)


def threads(examined: Examined) -> Iterator[Doubt]:
    """Diameter and pitch against the designation: `3/8-24 UNF` is 3/8 in with 24 threads per inch, `M8 x 1.25` 8 mm with a pitch of 1.25 mm."""
    sheet = examined.sheets["threads"]
    for at, (_, (designation, diameter, pitch)) in enumerate(sheet.rows(("designation", "diameter", "pitch"))):
        for column, value, meant in zip(("diameter", "pitch"), (diameter, pitch), dimensions_in(designation), strict=True):
            if abs(value - meant) > WITHIN * meant:
                text = f"{float(meant):.4g} mm (the designation)"
                yield examined.doubt("threads", at, column, text, f"{float(value):.4g} mm where {designation} says {float(meant):.4g} mm")


def dimensions_in(designation: str) -> tuple[Decimal, Decimal]:
    """Diameter and pitch in mm given by a normalised designation (ISO 261, ASME B1.1)."""
    if designation.startswith("M"):
        diameter, pitch = designation[1:].split(" x ")
        return Decimal(diameter), Decimal(pitch)
    size, per_inch = designation.split(" ")[0].split("-")
    part = Fraction(size)
    return INCH * part.numerator / part.denominator, INCH / int(per_inch)


def bodies(examined: Examined) -> Iterator[Doubt]:
    """Every column of turnbuckle_bodies.csv that goes by the thread."""
    yield from scaled(examined, "turnbuckle_bodies", sized(examined, "turnbuckle_bodies"), BODIES, BODY_WORDS)


def screws(examined: Examined) -> Iterator[Doubt]:
    """Every column of screws.csv that goes by the thread or the pin."""
    yield from scaled(examined, "screws", sized(examined, "screws"), SCREWS, SCREW_WORDS)


def locknuts(examined: Examined) -> Iterator[Doubt]:
    """The mass of a nut by its thread."""
    yield from scaled(examined, "locknuts", sized(examined, "locknuts"), LOCKNUTS, NUT_WORDS)
