"""What finished assemblies say of the growth of each swaged terminal in the shop's own press.

The finished length differs from its target by the sum of what its swaged terminals grew more than the catalogue says, and by errors of cutting
and measuring. Over many assemblies the terminals' parts are told apart by ordinary least squares (JCGM 100:2008, H.3, for a straight line; any
textbook for several unknowns); what cannot be told apart is named and not estimated. Lengths in mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import numpy as np

THOUSANDTH = Decimal("0.001")
SURE = 1e-9


@dataclass(frozen=True, slots=True)
class Grown:
    """One finished assembly: how much longer than its target, and its swaged terminals by sku."""

    deviation: Decimal
    terminals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Estimate:
    """What is to be added to a terminal's growth, with its standard uncertainty; both None where the records cannot tell.

    `records`: finished assemblies with this terminal; `degrees`: degrees of freedom of the whole fit.
    """

    sku: str
    records: int
    correction: Decimal | None
    uncertainty: Decimal | None
    degrees: int


def estimates(finished: Iterable[Grown], least: int) -> list[Estimate]:
    """An estimate for each terminal, by sku; only those with at least `least` records, one degree of freedom and a part of their own."""
    used = [each for each in finished if each.terminals]
    skus = sorted({sku for each in used for sku in each.terminals})
    if not skus:
        return []
    counted = [Counter(each.terminals) for each in used]
    design = np.array([[count[sku] for sku in skus] for count in counted], dtype=float)
    wanted = np.array([float(each.deviation) for each in used])
    degrees = len(used) - int(np.linalg.matrix_rank(design))
    found = _solved(design, wanted, degrees) if degrees > 0 else None
    return [_estimate(sku, place, counted, found, degrees, least) for place, sku in enumerate(skus)]


def _solved(design: Any, wanted: Any, degrees: int) -> tuple[Any, Any, Any]:
    """Corrections, their standard uncertainties, and how far each is told apart from the others (1: wholly)."""
    inverse = np.linalg.pinv(design.T @ design)
    corrections = inverse @ design.T @ wanted
    left = wanted - design @ corrections
    variance = float(left @ left) / degrees
    return corrections, np.sqrt(np.clip(np.diag(inverse), 0, None) * variance), np.diag(np.linalg.pinv(design) @ design)


def _estimate(sku: str, place: int, counted: Sequence[Counter[str]], found: Any, degrees: int, least: int) -> Estimate:
    records = sum(1 for count in counted if count[sku])
    if found is None or records < least or abs(found[2][place] - 1) > SURE:
        return Estimate(sku, records, None, None, degrees)
    return Estimate(sku, records, _mm(found[0][place]), _mm(found[1][place]), degrees)


def _mm(value: float) -> Decimal:
    return Decimal(repr(float(value))).quantize(THOUSANDTH, ROUND_HALF_UP)
