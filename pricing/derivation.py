"""Terms of a derivation: one signed length a line, with the words that let a rigger follow it with a pencil.

Each term is rounded once, half up to 0.001 mm, and printed so; sums are taken of what is printed, so that they agree with paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

_THOUSANDTH = Decimal("0.001")
ZERO = Decimal("0.000")


def thousandth(mm: Decimal | float) -> Decimal:
    """Millimetres rounded half up to 0.001; a float's noise is cut first at 1e-9 mm."""
    if isinstance(mm, float):
        mm = Decimal(f"{mm:.9f}")
    return mm.quantize(_THOUSANDTH, ROUND_HALF_UP)


class Term(NamedTuple):
    """One line: `mm` is what it adds to the cut length (negative: takes away), already rounded to 0.001 mm."""

    step: str
    mm: Decimal
    source: str
    formula: str
    inputs: tuple[tuple[str, str], ...] = ()

    def document(self) -> dict[str, object]:
        """As it stands in the quote."""
        return {
            "step": self.step,
            "mm": str(self.mm),
            "source": self.source,
            "formula": self.formula,
            "inputs": dict(self.inputs),
        }


def term(step: str, mm: Decimal | float, source: str, formula: str, **inputs: object) -> Term:
    """A rounded term; `inputs` name what the formula in words speaks of: a Decimal is a length in mm, anything else is written out."""
    return Term(step, thousandth(mm), source, formula, tuple([(key.replace("_", " "), _written(value)) for key, value in inputs.items()]))


def _written(value: object) -> str:
    return f"{value.normalize():f} mm" if isinstance(value, Decimal) else str(value)


def total(terms: Iterable[Term]) -> Decimal:
    """Sum of the printed terms, mm."""
    return sum([each.mm for each in terms], ZERO)
