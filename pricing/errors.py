"""The errors of the engine, drawn:

ValueError
 └─ PricingError                 anything this package refuses
     ├─ MoneyError               an amount, rate or currency that no document can carry (pricing/money.py)
     ├─ QuantityError            a length, temperature, force or area that has no single reading
     ├─ TableError               a catalogue folder that cannot be used; carries every fault found
     └─ RequestError             measured assemblies that contradict themselves before any geometry is looked at
LookupError
 └─ NoPrice                      an article without a price on that day
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class PricingError(ValueError):
    """Base of everything the engine refuses."""


class QuantityError(PricingError):
    """Text that is not one quantity: `code` (stable), `text` as written, `detail` with the remedy."""

    def __init__(self, code: str, text: str, detail: str) -> None:
        super().__init__(detail)
        self.code = code
        self.text = text
        self.detail = detail


@dataclass(frozen=True, slots=True)
class TableFault:
    """One fault in a table: where it stands and what is expected there. `line` counts the header as 1; 0 means the whole file."""

    file: str
    line: int
    column: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: column {self.column!r}: found {self.found!r}, expected {self.expected}"


class TableError(PricingError):
    """A catalogue that cannot be used; `faults` lists every fault of every file."""

    def __init__(self, faults: Sequence[TableFault]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{len(self.faults)} fault(s) in the catalogue:\n" + "\n".join(map(str, self.faults)))


class RequestError(PricingError):
    """Assemblies that cannot be read together: `faults` holds (JSON Pointer, code, detail) triples."""

    def __init__(self, faults: Sequence[tuple[str, str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{pointer}: {detail}" for pointer, _, detail in self.faults))


class NoPrice(LookupError):
    """No price for `sku` in force on `day` (ISO date text)."""

    def __init__(self, sku: str, day: str) -> None:
        super().__init__(f"no price for {sku} on {day}: add a row with a from_day on or before it")
        self.sku = sku
        self.day = day
