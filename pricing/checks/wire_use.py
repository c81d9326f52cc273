"""Is the wire of a construction that its use asks for, and how old is what it replaces?"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.judging import Judged
from pricing.units import spoken

STIFF_OVER_SHEAVE = code("stiff-wire-over-sheave", "ask", "A wire that runs over a sheave is not of 7x19.")
SHEAVE_SMALL = code("sheave-too-small", "ask", "A sheave is small for the wire that runs over it.")
OLD_WIRE = code("old-wire-aged", "ask", "The wire that is replaced is old: what is kept with it is as old.")
RUNNING = ("halyard", "topping_lift")
LEAST_SHEAVE = Decimal(20)  # sheave over wire diameter for 7x19: common practice, no source
OLD_YEARS = 10  # common practice, no source


def bends(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """7x19 where wire runs over a sheave; the sheave at least twenty wire diameters."""
    assembly, wire = judged.built.assembly, judged.built.wire
    if wire is None:
        return
    runs = assembly.sheave_diameter is not None or assembly.role in RUNNING
    if runs and wire.construction != "7x19":
        message = f"{wire.construction} wire does not stand running over a sheave."
        yield finding(STIFF_OVER_SHEAVE, "wire/construction", message, "Choose 7x19, or confirm that this wire does not run over a sheave.")
    if assembly.sheave_diameter is not None and assembly.sheave_diameter < LEAST_SHEAVE * wire.diameter:
        message = f"The sheave of {spoken(assembly.sheave_diameter)} is less than {LEAST_SHEAVE} times the wire."
        yield finding(SHEAVE_SMALL, "sheave_diameter", message, "Fit a larger sheave, or expect a short life and inspect often.")


def age(judged: Judged, shop: Shop) -> Iterable[Finding]:
    """Kept parts are as old as the wire was."""
    assembly = judged.built.assembly
    years = assembly.wire_age_years
    keeps = any(part.kept for side in (judged.built.upper, judged.built.lower) if side is not None for part in side.parts)
    if years is not None and years >= OLD_YEARS and keeps:
        message = f"The old wire is {years} years old, and parts of that age are kept."
        yield finding(
            OLD_WIRE, "wire_age_years", message, "Have the kept turnbuckle, toggles and pins inspected for cracks, or replace them."
        )
