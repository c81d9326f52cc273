"""Clevis and cotter pins, one of each for every joint that needs them: the pin must go through the hole and span the cheeks."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from pricing.findings import Finding, code, finding
from pricing.fittings.base import Member, Part
from pricing.joints import Joint, PinNeeded
from pricing.joints.members import at_end
from pricing.values import Length, Size, Text, Value, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.rows import Pin

NO_PIN = code(
    "no-pin-for-jaw", "stop", "The catalogue has no clevis pin of that diameter long enough for the jaw, or no cotter pin for it."
)
GRIP_UNKNOWN = code(
    "pin-grip-assumed", "ask", "Nobody knows how wide a pin's jaw is over its cheeks; the longest pin of that diameter was taken."
)


def choose_pins(
    joints: Iterable[Joint], end: str, catalogue: Catalogue
) -> tuple[tuple[Part, ...], tuple[Member, ...], tuple[Finding, ...]]:
    """The shortest clevis pin that spans each jaw over its cheeks, and a new cotter pin for it.

    A kept fitting keeps its clevis pin, but never its cotter pin (common practice, no source).
    """
    parts: list[Part] = []
    members: list[Member] = []
    findings: list[Finding] = []
    for needed in (joint.pin for joint in joints if joint.pin is not None):
        pin = _spanning(needed, catalogue)
        cotter = catalogue.cotter(pin.cotter) if pin else None
        if pin is None or cotter is None:
            findings += [] if needed.kept else [_missing(needed, end)]
            continue
        parts += [Part(pin.sku, pin.name, 1, end, needed.kept, pin.mass_kg), Part(cotter.sku, cotter.name, 1, end, False, cotter.mass_kg)]
        members.append(Member(at_end(Text(pin.name), end), pin.double_shear_kn, phrase("source.double_shear", sku=Text(pin.sku))))
        if needed.grip is None and not needed.kept:
            pinned: dict[str, Value] = {"pin": Size(needed.diameter), "end": phrase(f"end.{end}"), "grip": Length(pin.grip)}
            findings.append(finding(GRIP_UNKNOWN, end, **pinned))
    return tuple(parts), tuple(members), tuple(findings)


def _spanning(needed: PinNeeded, catalogue: Catalogue) -> Pin | None:
    rows = catalogue.of_part(kept=needed.kept).pins(needed.diameter)
    if needed.grip is None:
        return rows[-1] if rows else None
    return next((row for row in rows if row.grip >= needed.grip), None)


def _missing(needed: PinNeeded, end: str) -> Finding:
    values: dict[str, Value] = {"pin": Size(needed.diameter), "end": phrase(f"end.{end}")}
    if needed.grip is None:
        return finding(NO_PIN, end, "any", **values)
    return finding(NO_PIN, end, "spanning", **values, grip=Length(needed.grip))
