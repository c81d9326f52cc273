"""Terms of a derivation: one signed length per line, which a rigger can follow with a pencil.

Each term is rounded once, half up to 0.001 mm, and printed that way; sums are taken of the printed values, so that they agree with paper.
A term is data: a code, the end it belongs to, and named values. The texts of its step and formula are in the catalogue of words.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.model import QuotedTerm
from pricing.values import Dimension, Phrase, Value, Values, values_document

if TYPE_CHECKING:
    from pricing.wording import Voice

_THOUSANDTH = Decimal("0.001")
ZERO = Decimal("0.000")
_FIGURES = (Decimal, int)
MEASURED = Phrase("source.measured")


def thousandth(mm: Decimal | float) -> Decimal:
    """Millimetres rounded half up to 0.001, never a negative zero; a float is first rounded to 1e-9 mm to remove noise."""
    if isinstance(mm, float):
        mm = Decimal(f"{mm:.9f}")
    return mm.quantize(_THOUSANDTH, ROUND_HALF_UP) or ZERO


class Term(NamedTuple):
    """One line: `mm` is what it adds to the cut length (negative: subtracts), already rounded to 0.001 mm.

    `source` is where `mm` comes from; `at` is its end, upper or lower, if it has one; `wording` selects one of several texts for the same
    code; `old` marks a member of the old assembly that lies outside the reading.
    """

    code: str
    mm: Decimal
    source: Value
    at: str | None = None
    values: Values = ()
    wording: str = ""
    old: bool = False

    def quoted(self, voice: Voice) -> QuotedTerm:
        """The term as it appears in the quote, worded by `voice`."""
        worded = voice.term(self)
        return QuotedTerm(
            code=self.code,
            at=self.at,
            old=self.old,
            step=worded.step,
            mm=self.mm,
            source=voice.value(self.source),
            formula=worded.formula,
            inputs=worded.inputs,
            values=values_document(self.values),
        )

    def added(self) -> Term:
        """This member as one of the old assembly that lies outside the reading: added instead of subtracted."""
        return self._replace(mm=-self.mm, old=True)


def term(
    code: str, mm: Decimal | float, source: Value, at: str | None = None, wording: str = "", /, **values: Value | Decimal | int
) -> Term:
    """A term rounded to 0.001 mm. `values` are the quantities that its text names; a Decimal or int is a dimension in mm."""
    read: Values = tuple([(name, Dimension(Decimal(each)) if isinstance(each, _FIGURES) else each) for name, each in values.items()])
    return Term(code, thousandth(mm), source, at, read, wording)


def total(terms: Iterable[Term]) -> Decimal:
    """Sum of the printed terms, mm."""
    return sum([each.mm for each in terms], ZERO)
