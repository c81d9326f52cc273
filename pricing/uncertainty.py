"""Uncertainty budget of a length after JCGM 100:2008 (GUM): standard uncertainties combined, effective degrees of freedom
(Welch-Satterthwaite, G.2b), Student's t for 95.45 % (table G.2, degrees truncated to the next lower line as G.4.1 note 1 allows).

Standard uncertainties in mm.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import READ_CALIPER_MM, READ_IN_PITCHES, TAPE_CLASS_MM
from pricing.fittings.base import Doubt

if TYPE_CHECKING:
    from pricing.assembly import Setting

# JCGM 100:2008, table G.2, column p = 95.45 %
_DEGREES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 25, 30, 35, 40, 45, 50, 100)
_T_95_45 = (
    13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28, 2.25, 2.23, 2.21, 2.20, 2.18, 2.17, 2.16, 2.15, 2.14, 2.13,
    2.11, 2.09, 2.07, 2.06, 2.06, 2.05, 2.025,
)  # fmt: skip
_T_MANY = 2.000


class Budget(NamedTuple):
    """Contributors, combined standard uncertainty, effective degrees of freedom (None: very many), coverage factor, expanded U. mm."""

    doubts: tuple[Doubt, ...]
    combined: float
    degrees: int | None
    k: float
    expanded: float

    def largest(self) -> Doubt:
        """The contributor with the largest share."""
        return max(self.doubts, key=lambda doubt: doubt.u)

    def share(self, doubt: Doubt) -> float:
        """Share of the combined variance, 0 to 1."""
        return doubt.u**2 / self.combined**2 if self.combined else 0.0


def student_t(degrees: int | None) -> float:
    """t for 95.45 %, from table G.2 at the next lower tabulated degrees of freedom. Raises ValueError below 1."""
    if degrees is None:
        return _T_MANY
    if degrees < 1:
        raise ValueError("degrees of freedom must be at least 1")
    return _T_95_45[bisect_right(_DEGREES, degrees) - 1]


def effective_degrees(doubts: Sequence[Doubt]) -> int | None:
    """Welch-Satterthwaite, truncated; None where no contributor has finite degrees of freedom."""
    variance = sum(doubt.u**2 for doubt in doubts)
    quotient = sum(doubt.u**4 / doubt.dof for doubt in doubts if doubt.dof is not None)
    if quotient <= 0 or variance**2 / quotient > 1e6:
        return None
    return max(1, math.floor(variance**2 / quotient + 1e-9))


def budget(doubts: Sequence[Doubt]) -> Budget:
    """Combine independent contributors: u² = Σu², U = k·u."""
    combined = math.sqrt(sum(doubt.u**2 for doubt in doubts))
    degrees = effective_degrees(doubts)
    k = student_t(degrees)
    return Budget(tuple(doubts), combined, degrees, k, k * combined)


def reading_doubt(readings: Sequence[Decimal], resolution: Decimal) -> Doubt:
    """max(s/√n with n − 1 degrees, resolution/√12): repeated readings cannot say less than the tape's division."""
    floor = float(resolution) / math.sqrt(12)
    if len(readings) > 1:
        spread = float(_deviation(readings)) / math.sqrt(len(readings))
        if spread > floor:
            return Doubt(
                "readings", spread, len(readings) - 1, "take more readings, with the wire straight and the tape under the same pull"
            )
    return Doubt("readings", floor, None, "read the tape to a finer division, and more than once")


def _deviation(readings: Sequence[Decimal]) -> Decimal:
    """Experimental standard deviation, n − 1 in the denominator (GUM 4.2.2)."""
    mean = sum(readings, Decimal(0)) / len(readings)
    return (sum(((each - mean) ** 2 for each in readings), Decimal(0)) / (len(readings) - 1)).sqrt()


def tape_doubt(tape_class: str, length_mm: Decimal) -> Doubt:
    """The tape's own class as a rectangle of half-width a + b·L, L in metres (OIML R 35-1)."""
    fixed, per_metre = TAPE_CLASS_MM[tape_class]
    return Doubt(
        "tape", (fixed + per_metre * float(length_mm) / 1000) / math.sqrt(3), None, "use a tape of a better class, or one compared with it"
    )


def setting_doubts(setting: Setting, pitch: Decimal) -> tuple[Doubt, ...]:
    """Each exposed thread as a rectangle by the tool it was read with (common practice, no source)."""
    tool = setting.recorded_with or "tape_mark"
    half = READ_CALIPER_MM if tool == "caliper" else READ_IN_PITCHES[tool] * float(pitch)
    remedy = "read the exposed threads with a caliper"
    return tuple(Doubt(f"{side} exposed thread", half / math.sqrt(3), None, remedy) for side in ("upper", "lower"))
