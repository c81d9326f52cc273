"""The errors of the engine.

ValueError
 └─ PricingError                 anything this package refuses
     ├─ MoneyError               an amount, rate or currency that cannot appear on a document (pricing/money.py)
     ├─ QuantityError            a length, temperature, force or area that cannot be read unambiguously
     ├─ TableError               a catalogue folder that cannot be used; carries every fault found
     └─ RequestError             measured assemblies that contradict themselves, found before any geometry is computed
LookupError
 └─ NoPrice                      an article without a price on that day
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


class PricingError(ValueError):
    """Base of everything the engine refuses."""


class QuantityError(PricingError):
    """Text that is not exactly one quantity: `code` (stable), `text` as written, `detail` with the remedy.

    `message` is `detail` as a template with `%(name)s` placeholders, for translation; `values` fill it.
    """

    def __init__(self, code: str, text: str, message: str, values: Mapping[str, str] | None = None) -> None:
        self.message, self.values = message, dict(values or {})
        self.detail = message % self.values if self.values else message
        super().__init__(self.detail)
        self.code = code
        self.text = text


@dataclass(frozen=True, slots=True)
class TableFault:
    """One fault in a table: its location and what was expected. `line` counts the header as 1; 0 means the whole file."""

    file: str
    line: int
    column: str
    found: str
    expected: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: column {self.column!r}: found {self.found!r}, expected {self.expected}"


@dataclass(frozen=True, slots=True)
class Doubt:
    """A cell that can be read but is probably a mistake: what is written, what neighbours or a published source suggest, and why.

    `name` is stable and contains the row and the value (`terminals/FORK-6MM/reach/56-in`), so that a changed value is doubted again; a shop
    accepts the cell by this name. `line` counts the header as 1; 0 means the whole file.
    """

    name: str
    file: str
    line: int
    column: str
    found: str
    expected: str
    reason: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: column {self.column!r}: found {self.found!r}, expected {self.expected}: {self.reason}"


class TableError(PricingError):
    """A catalogue that cannot be used; `faults` lists every fault of every file."""

    def __init__(self, faults: Sequence[TableFault]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{len(self.faults)} fault(s) in the catalogue:\n" + "\n".join(map(str, self.faults)))


class RequestError(PricingError):
    """Assemblies that cannot be read together; `faults` holds (JSON Pointer, code, detail) triples."""

    def __init__(self, faults: Sequence[tuple[str, str, str]]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{pointer}: {detail}" for pointer, _, detail in self.faults))


class NoPrice(LookupError):
    """No price for `sku` in force on `day` (ISO date text)."""

    def __init__(self, sku: str, day: str) -> None:
        super().__init__(f"no price for {sku} on {day}: add a row with a from_day on or before it")
        self.sku = sku
        self.day = day
