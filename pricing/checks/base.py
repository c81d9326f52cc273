"""What every check is given and gives: one function a check, findings with pointers relative to the assembly."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pricing.findings import Finding

if TYPE_CHECKING:
    from pricing.assembly import QuoteRequest
    from pricing.judging import Judged
    from pricing.terms import Terms


@dataclass(frozen=True, slots=True)
class Shop:
    """What a check may ask besides the assembly itself."""

    request: QuoteRequest
    terms: Terms


AssemblyCheck = Callable[["Judged", Shop], Iterable[Finding]]
"""One assembly at a time; pointers relative to it."""

Placed = tuple[int, Finding]
"""The assembly's place and a finding relative to it."""

BoatCheck = Callable[["tuple[Judged, ...]", Shop], Iterable[Placed]]
"""All assemblies together."""
