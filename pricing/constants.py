"""Constants that do not come from the shop's tables, grouped by origin.

Exact: standard gravity (3rd CGPM, 1901; NIST SP 811). From a standard: reference temperature of tapes and of lengths 20 degC (OIML R 35-1;
ISO 1); tape class limits (OIML R 35-1: maximum permissible error a + b·L, L in metres). Measured: expansion of steel tape 11.6e-6/K
(surveying practice, "Taping Corrections" university slides: 6.45e-6 per degF). From memory: expansion of fibreglass tape, tape classes I
and III. Common practice, no source: how well an exposed thread can be read with each tool.
"""

from __future__ import annotations

from decimal import Decimal

from pricing.values import phrase

GRAVITY = 9.80665  # m/s², exact
REFERENCE_DEGC = Decimal(20)  # OIML R 35-1, ISO 1
TAPE_EXPANSION = {
    "steel": (Decimal("11.6e-6"), phrase("source.expansion_steel")),
    "stainless": (Decimal("16.0e-6"), phrase("source.expansion_stainless")),
    "fibreglass": (Decimal("8e-6"), phrase("source.expansion_fibreglass")),
}
# Modulus of a tape in N/mm², its origin, and its uncertainty in percent (None: the shop's own percentage for table values). A fibreglass
# tape is glass in plastic: a seventh of the glass's own 72 kN/mm², from memory, give or take a half.
TAPE_MODULUS = {
    "steel": (Decimal(199948), phrase("source.modulus_steel"), None),
    "stainless": (Decimal(193053), phrase("source.modulus_stainless"), None),
    "fibreglass": (Decimal(10000), phrase("source.modulus_fibreglass"), Decimal(50)),
}
HOOK_MM = 0.2  # half-width that a tape's hook or butt adds to its class error: OIML R 35-1
LOCKNUT_MM = 0.5  # half-width for the height of a locknut that was not measured: common practice, no source
TAPE_CLASS_MM = {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}  # a + b·L[m], OIML R 35-1; classes I and III from memory
READ_CALIPER_MM = 0.2  # half-width, common practice, no source
READ_IN_PITCHES = {"pen_mark": 0.5, "tape_mark": 1.0}  # half-widths in pitches, common practice, no source
LARGEST_SAG = 0.005  # a sag that hides more than half a percent of the length is refused: the parabola is no longer accurate enough
