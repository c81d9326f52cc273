"""What can be wrong with an order to cut.

ValueError
 └─ CuttingError
     ├─ InvalidOrder     pieces, stock or policy cannot be read as an order; every failure at once
     └─ PlanFault        a plan that does not hold together (raised by the engine's own check)
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing wrong: a JSON Pointer to it, a stable code, a sentence."""

    pointer: str
    code: str
    detail: str


class CuttingError(ValueError):
    """Base of all errors of this package."""


class InvalidOrder(CuttingError):
    """The order cannot be planned as given; `failures` holds all reasons, in input order."""

    def __init__(self, failures: tuple[Failure, ...]) -> None:
        self.failures = failures
        super().__init__("; ".join(f"{f.pointer}: {f.detail}" for f in failures))


class PlanFault(CuttingError):
    """A finished plan broke a rule of its own; `faults` names each one."""

    def __init__(self, faults: tuple[str, ...]) -> None:
        self.faults = faults
        super().__init__("; ".join(faults))
