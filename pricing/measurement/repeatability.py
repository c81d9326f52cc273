"""How well a single reading repeats, from lengths read more than once: pooled over customers, JCGM 100:2008, 4.2.4.

s² = Σ(nᵢ − 1)·sᵢ² / Σ(nᵢ − 1), with Σ(nᵢ − 1) degrees of freedom. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Pooled:
    """Standard deviation of a single reading, with the number of lengths and degrees of freedom; None if no length was read twice."""

    deviation: Decimal | None
    lengths: int
    degrees: int


def pooled(lengths: Iterable[Sequence[Decimal]]) -> Pooled:
    """The pooled repeatability of these readings; a length read only once is ignored."""
    squares, degrees, count = Decimal(0), 0, 0
    for readings in lengths:
        if len(readings) > 1:
            mean = sum(readings, Decimal(0)) / len(readings)
            squares += sum([(each - mean) ** 2 for each in readings], Decimal(0))
            degrees, count = degrees + len(readings) - 1, count + 1
    deviation = (squares / degrees).sqrt().quantize(HUNDREDTH, ROUND_HALF_UP) if degrees else None
    return Pooled(deviation, count, degrees)
