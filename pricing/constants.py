"""Numbers that do not come from a table of the shop, grouped by where they come from.

Exact: standard gravity (3rd CGPM, 1901; NIST SP 811). From a standard: reference temperature of tapes and of lengths 20 degC (OIML R 35-1; ISO 1);
tape class limits (OIML R 35-1: maximum permissible error a + b·L, L in metres). Measured: expansion of steel tape 11.6e-6/K (surveying
practice, "Taping Corrections" university slides: 6.45e-6 per degF). From memory: expansion of fibreglass tape, tape classes I and III. Common practice, no source:
how well an exposed thread can be read with each tool.
"""

from __future__ import annotations

from decimal import Decimal

GRAVITY = 9.80665  # m/s², exact
REFERENCE_DEGC = Decimal(20)  # OIML R 35-1, ISO 1
TAPE_EXPANSION = {
    "steel": (Decimal("11.6e-6"), "steel tape 11.6e-6/K, surveying practice"),
    "stainless": (Decimal("16.0e-6"), "stainless tape 16.0e-6/K, datasheets after ASTM A240"),
    "fibreglass": (Decimal("8e-6"), "fibreglass tape 8e-6/K, from memory"),
}
STEEL_MODULUS = Decimal(199948)  # N/mm² of a steel tape: 29e6 psi, "Taping Corrections" slides
TAPE_CLASS_MM = {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}  # a + b·L[m], OIML R 35-1; classes I and III from memory
READ_CALIPER_MM = 0.2  # half-width, common practice, no source
READ_IN_PITCHES = {"pen_mark": 0.5, "tape_mark": 1.0}  # half-widths in pitches, common practice, no source
LARGEST_SAG = 0.005  # a sag that hides more than half a percent of the length is refused: the parabola no longer holds well enough
