"""Uncertainty budget of a length after JCGM 100:2008 (GUM).

Standard uncertainties are combined, with effective degrees of freedom (Welch-Satterthwaite, G.2b) and Student's t for 95.45 % (table G.2,
degrees truncated to the next lower line as G.4.1 note 1 allows). Standard uncertainties in mm.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import HOOK_MM, READ_CALIPER_MM, READ_IN_PITCHES, TAPE_CLASS_MM
from pricing.fittings.base import Contribution
from pricing.values import Listing, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import Setting, TapeComparison

# JCGM 100:2008, table G.2, column p = 95.45 %
_DEGREES = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 25, 30, 35, 40, 45, 50, 100)
_T_95_45 = (
    13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28, 2.25, 2.23, 2.21, 2.20, 2.18, 2.17, 2.16, 2.15, 2.14, 2.13,
    2.11, 2.09, 2.07, 2.06, 2.06, 2.05, 2.025,
)  # fmt: skip
_T_MANY = 2.000


class Budget(NamedTuple):
    """Contributions, combined standard uncertainty, effective degrees of freedom (None: very many), coverage factor, expanded U. mm."""

    contributions: tuple[Contribution, ...]
    combined: float
    degrees: int | None
    k: float
    expanded: float

    def largest(self) -> Contribution:
        """The largest contribution."""
        return max(self.contributions, key=lambda contribution: contribution.u)

    def percent(self) -> list[float]:
        """Each contribution's share of the combined variance."""
        whole = self.combined**2
        return [100 * (contribution.u**2 / whole) if whole else 0.0 for contribution in self.contributions]


def student_t(degrees: int | None) -> float:
    """t for 95.45 %, from table G.2 at the next lower tabulated degrees of freedom. Raises ValueError below 1."""
    if degrees is None:
        return _T_MANY
    if degrees < 1:
        raise ValueError("degrees of freedom must be at least 1")
    return _T_95_45[bisect_right(_DEGREES, degrees) - 1]


def effective_degrees(contributions: Sequence[Contribution]) -> int | None:
    """Welch-Satterthwaite, truncated; None if no contribution has finite degrees of freedom."""
    variance = sum([contribution.u**2 for contribution in contributions])
    quotient = sum([contribution.u**4 / contribution.dof for contribution in contributions if contribution.dof is not None])
    if quotient <= 0 or variance**2 / quotient > 1e6:
        return None
    return max(1, math.floor(variance**2 / quotient + 1e-9))


def by_input(contributions: Sequence[Contribution]) -> tuple[Contribution, ...]:
    """One contribution per input: those with the same key are summed with their signs (JCGM 100, 5.1.3: c = Σ∂f/∂x over all uses of x).

    The result has all their names, the remedy of its largest part and the fewest degrees of freedom; its `u` is never negative.
    """
    keys = [contribution.key for contribution in contributions if contribution.key]
    if len(set(keys)) == len(keys):
        return tuple([each if each.u > 0 else each._replace(u=abs(each.u)) for each in contributions])
    inputs: dict[str, list[Contribution]] = {}
    for place, contribution in enumerate(contributions):
        inputs.setdefault(contribution.key or f"#{place}", []).append(contribution)
    return tuple([_summed(parts) for parts in inputs.values()])


def _summed(parts: Sequence[Contribution]) -> Contribution:
    largest = max(parts, key=lambda part: abs(part.u))
    degrees = [part.dof for part in parts if part.dof is not None]
    names = tuple(dict.fromkeys(part.name for part in parts))
    name = names[0] if len(names) == 1 else Listing(names)
    return Contribution(name, abs(sum(part.u for part in parts)), min(degrees, default=None), largest.remedy, largest.key)


def budget(contributions: Sequence[Contribution]) -> Budget:
    """Combine the inputs, which are mutually independent: u² = Σu², U = k·u."""
    inputs = by_input(contributions)
    combined = math.sqrt(sum([contribution.u**2 for contribution in inputs]))
    degrees = effective_degrees(inputs)
    k = student_t(degrees)
    return Budget(inputs, combined, degrees, k, k * combined)


def reading_contribution(count: int, resolution: Decimal, repeatability: Decimal) -> Contribution:
    """The uncertainty of the readings: max(s/√n, resolution/√12).

    s is the shop's pooled repeatability of one reading (JCGM 100, 4.2.4), so that two readings need not establish it.
    """
    spread, division = float(repeatability) / math.sqrt(count), float(resolution) / math.sqrt(12)
    remedy = phrase("improve.division" if division > spread else "improve.readings")
    return Contribution(phrase("contribution.readings"), max(spread, division), None, remedy)


def tape_contribution(tape_class: str, length_mm: Decimal, *, hook: bool = False) -> Contribution:
    """The tape's class as a rectangular distribution, plus that of its hook (OIML R 35-1).

    The half-width is a + b·L, with L in whole metres rounded up.
    """
    fixed, per_metre = TAPE_CLASS_MM[tape_class]
    half = fixed + per_metre * math.ceil(length_mm / 1000) + (HOOK_MM if hook else 0.0)
    remedy = phrase("improve.tape_and_hook" if hook else "improve.tape")
    return Contribution(phrase("contribution.tape"), half / math.sqrt(3), None, remedy)


def comparison_contribution(comparison: TapeComparison, length_mm: Decimal, *, hook: bool = False) -> Contribution:
    """The remaining uncertainty of a compared tape: the comparison's own, in proportion.

    If not given, it is that of a class I tape between the same marks.
    """
    fixed, per_metre = TAPE_CLASS_MM["I"]
    half = fixed + per_metre * math.ceil(comparison.marked / 1000) if comparison.within is None else float(comparison.within)
    share = half * float(length_mm / comparison.marked) + (HOOK_MM if hook else 0.0)
    return Contribution(phrase("contribution.comparison"), share / math.sqrt(3), None, phrase("improve.comparison"))


def setting_contributions(setting: Setting, pitch: Decimal, sensitivity: int = 1) -> tuple[Contribution, ...]:
    """A rectangular distribution for each exposed thread, depending on the tool (common practice, no source).

    `sensitivity` is the change in cut length per mm of exposed thread: 1, −1, or 0 if it cancels. `pitch` in mm.
    """
    tool = setting.recorded_with or "tape_mark"
    half = READ_CALIPER_MM if tool == "caliper" else READ_IN_PITCHES[tool] * float(pitch)
    u, remedy = sensitivity * half / math.sqrt(3), phrase("improve.exposed")
    screws = ("upper", "lower") if sensitivity else ()
    return tuple(
        [Contribution(phrase("contribution.exposed", end=phrase(f"end.{end}")), u, None, remedy, f"{end} exposed thread") for end in screws]
    )


def locknut_contribution(half: float, sensitivity: int) -> Contribution:
    """Two locknuts of the same height, added to both exposed threads: one input, counted twice."""
    return Contribution(phrase("contribution.locknuts"), 2 * sensitivity * half / math.sqrt(3), None, phrase("improve.locknuts"))
