"""Estimates the growth of each swaged terminal on each wire in the shop's own press from finished assemblies.

A finished length differs from its target by the excess growth of its swaged terminals over the assumed growth, and by errors of cutting
and measuring; so that difference plus the assumed growths is their actual growth. Over many assemblies, the terminals' contributions are
separated by ordinary least squares (JCGM 100:2008, H.3, for a straight line; any textbook for several unknowns); those that cannot be
separated are named and not estimated. Lengths in mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, NamedTuple

import numpy as np

THOUSANDTH = Decimal("0.001")
SURE = 1e-9


class Swaged(NamedTuple):
    """What a growth belongs to: a terminal by SKU, and the wire's construction and size as written in the tables."""

    terminal: str
    construction: str
    wire_size: str


@dataclass(frozen=True, slots=True)
class Grown:
    """One finished assembly: the total growth of its swaged terminals, and each of them.

    The growth is the excess over the target length plus the assumed growths.
    """

    together: Decimal
    swaged: tuple[Swaged, ...]


@dataclass(frozen=True, slots=True)
class Estimate:
    """The growth of a terminal on a wire with its standard uncertainty; both None if the records cannot determine it.

    `records`: finished assemblies with it; `degrees`: degrees of freedom of the whole fit.
    """

    swaged: Swaged
    records: int
    growth: Decimal | None
    uncertainty: Decimal | None
    degrees: int


def estimates(finished: Iterable[Grown], least: int) -> list[Estimate]:
    """An entry for each terminal on each wire.

    It has an estimate only with at least `least` records, one degree of freedom and a separable contribution.
    """
    used = [each for each in finished if each.swaged]
    kinds = sorted({swaged for each in used for swaged in each.swaged})
    if not kinds:
        return []
    counted = [Counter(each.swaged) for each in used]
    design = np.array([[count[swaged] for swaged in kinds] for count in counted], dtype=float)
    wanted = np.array([float(each.together) for each in used])
    degrees = len(used) - int(np.linalg.matrix_rank(design))
    solution = _solved(design, wanted, degrees) if degrees > 0 else None
    return [_estimate(swaged, place, counted, solution, degrees, least) for place, swaged in enumerate(kinds)]


def _solved(design: Any, wanted: Any, degrees: int) -> tuple[Any, Any, Any]:
    """Growths, their standard uncertainties, and how well each is separated from the others (1: completely)."""
    inverse = np.linalg.pinv(design.T @ design)
    growths = inverse @ design.T @ wanted
    left = wanted - design @ growths
    variance = float(left @ left) / degrees
    return growths, np.sqrt(np.clip(np.diag(inverse), 0, None) * variance), np.diag(np.linalg.pinv(design) @ design)


def _estimate(swaged: Swaged, place: int, counted: Sequence[Counter[Swaged]], solution: Any, degrees: int, least: int) -> Estimate:
    records = sum(1 for count in counted if count[swaged])
    if solution is None or records < least or abs(solution[2][place] - 1) > SURE:
        return Estimate(swaged, records, None, None, degrees)
    return Estimate(swaged, records, _mm(solution[0][place]), _mm(solution[1][place]), degrees)


def _mm(value: float) -> Decimal:
    return Decimal(repr(float(value))).quantize(THOUSANDTH, ROUND_HALF_UP)
