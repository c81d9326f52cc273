"""Errors of the cut planner.

ValueError
 └─ CuttingError
     ├─ InvalidOrder     pieces, stock or policy are not a valid order; carries every failure
     └─ PlanFault        an inconsistent plan (raised by the planner's own check)
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure: a JSON Pointer to it, a stable code, and a sentence; `value` is the length in mm or the amount that is refused."""

    pointer: str
    code: str
    detail: str
    value: Decimal | None = None


class CuttingError(ValueError):
    """Base of all errors of this package."""


class InvalidOrder(CuttingError):
    """The order cannot be planned as given; `failures` holds all reasons, in input order."""

    def __init__(self, failures: tuple[Failure, ...]) -> None:
        self.failures = failures
        super().__init__("; ".join(f"{f.pointer}: {f.detail}" for f in failures))


class PlanFault(CuttingError):
    """A finished plan broke one of its own rules; `faults` lists each one."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(faults))
