"""The interface of checks: each is one function that returns findings with pointers relative to the assembly."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import Finding

if TYPE_CHECKING:
    from pricing.checks.assessment import Assessment
    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import QuoteRequest


@dataclass(frozen=True, slots=True)
class Shop:
    """The request and the shop's terms, which a check may consult besides the assembly."""

    request: QuoteRequest
    terms: Terms


AssemblyCheck = Callable[["Assessment", Shop], Iterable[Finding]]
"""One assembly at a time; pointers relative to it."""

Placed = tuple[int, Finding]
"""The assembly's place and a finding relative to it (or of the whole request, where its pointer begins with a slash)."""

BoatCheck = Callable[["tuple[Assessment, ...]", Shop], Iterable[Placed]]
"""All assemblies together."""


def known_length(assessment: Assessment) -> Decimal | None:
    """The finished length if known, else the cut length less any wire left at bare ends, in mm."""
    built = assessment.built
    if built.target is not None or built.cut is None:
        return built.target
    return built.cut - sum((end.leave or Decimal(0) for end in (built.assembly.upper, built.assembly.lower)), Decimal(0))


def first_to_cut(assessments: tuple[Assessment, ...], places: Sequence[int]) -> int:
    """The place for a finding made once per request: the first of these assemblies with a cut length, else the first."""
    return next((place for place in places if assessments[place].built.cut is not None), places[0])
