"""Checks that the wire's construction suits its use, and how old the wire being replaced is."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from pricing.checks.assessment import Assessment
from pricing.checks.base import Shop
from pricing.findings import Finding, code, finding
from pricing.measurement.roles import ROLES
from pricing.values import Count, Length, Size, phrase

STIFF_OVER_SHEAVE = code("stiff-wire-over-sheave", "ask", "A wire that runs over a sheave is not of 7x19.")
SHEAVE_SMALL = code("sheave-too-small", "ask", "A sheave is small for the wire that runs over it.")
COVER_STRIPPED = code("cover-stripped", "note", "A coated wire's cover is stripped where a fitting holds the wire.")
OLD_WIRE = code("old-wire-aged", "ask", "The wire that is replaced is old, and so are the parts kept with the new one.")
LEAST_SHEAVE = Decimal(20)  # sheave over wire diameter for 7x19: common practice, no source
OLD_YEARS = 10  # common practice, no source


def bends(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """Wire over a sheave must be 7x19, and the sheave at least twenty wire diameters."""
    assembly, wire = assessment.built.assembly, assessment.built.wire
    if wire is None:
        return
    runs = assembly.sheave_diameter is not None or ROLES[assembly.role].running
    if runs and wire.construction != "7x19":
        yield finding(STIFF_OVER_SHEAVE, "wire/construction", construction=phrase(f"construction.{wire.construction}"))
    if assembly.sheave_diameter is not None and assembly.sheave_diameter < LEAST_SHEAVE * wire.diameter:
        least = LEAST_SHEAVE * wire.diameter
        yield finding(
            SHEAVE_SMALL, "sheave_diameter", sheave=Length(assembly.sheave_diameter), wire=Size(wire.diameter), least=Length(least)
        )


def stripped(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A note on the cover stripped from a coated wire inside fittings and under sleeves: nothing holds on a cover."""
    built = assessment.built
    if built.wire is None or built.wire.coating is None or built.cut is None:
        return
    for name, side in (("upper", built.upper), ("lower", built.lower)):
        if side is not None and side.fitting.work:
            yield finding(COVER_STRIPPED, name, end=phrase(f"end.{name}"), length=Length(side.taken + side.fitting.covered))


def age(assessment: Assessment, shop: Shop) -> Iterable[Finding]:
    """A question if parts are kept with an old wire: they are as old as the wire."""
    assembly = assessment.built.assembly
    years = assembly.wire_age_years
    if years is None or years < OLD_YEARS:
        return
    keeps = any(part.kept for side in (assessment.built.upper, assessment.built.lower) if side is not None for part in side.parts)
    if keeps:
        yield finding(OLD_WIRE, "wire_age_years", years=Count(years))
