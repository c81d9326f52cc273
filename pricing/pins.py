"""Clevis and cotter pins: a pin has a hole it goes through and a jaw it spans."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Member, Part
from pricing.units import nominal, spoken

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue

NO_PIN = code(
    "no-pin-for-jaw", "stop", "The catalogue has no clevis pin of that diameter long enough for the jaw, or no cotter pin for it."
)


def choose_pins(
    wanted: Iterable[tuple[Decimal, Decimal, bool]], end: str, catalogue: Catalogue
) -> tuple[tuple[Part, ...], tuple[Member, ...], tuple[Finding, ...]]:
    """The shortest clevis pin that spans each jaw, and a new cotter pin for it.

    `wanted` holds (diameter, jaw, reuse): a reused fitting keeps its clevis pin, never its cotter pin (common practice, no source).
    """
    parts: list[Part] = []
    members: list[Member] = []
    findings: list[Finding] = []
    for diameter, jaw, kept in wanted:
        pin = next((row for row in catalogue.pins(diameter) if row.grip >= jaw), None)
        cotter = catalogue.cotter(pin.cotter) if pin else None
        if pin is None or cotter is None:
            message = f"No {nominal(diameter)} clevis pin spans a jaw of {spoken(jaw)}, or its cotter pin is missing."
            findings.append(finding(NO_PIN, end, message, "Choose a fitting with another pin, or add the pin to the catalogue."))
            continue
        parts += [Part(pin.sku, pin.name, 1, end, kept, pin.mass_kg), Part(cotter.sku, cotter.name, 1, end, False, cotter.mass_kg)]
        members.append(Member(f"{end} {pin.name}", pin.double_shear_kn, f"catalogue {pin.sku}, double shear"))
    return tuple(parts), tuple(members), tuple(findings)
