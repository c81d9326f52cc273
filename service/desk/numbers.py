"""Numbers, money and days as the papers write them, in the language of the page."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.desk.pages import language
from service.documents.speech import Speech


@dataclass(frozen=True, slots=True)
class Spoken(Speech):
    """The papers' way, and what only the desk says."""

    def more(self, amount: str | None, currency: str) -> str:
        """A change of money, with its sign."""
        if amount is None:
            return "–"
        return ("+" if Decimal(amount) > 0 else "") + self.money(amount, currency)

    def share(self, many: int, of: int) -> str:
        """A share in per cent, to a tenth; a dash where there is nothing to share."""
        return "–" if not of else self.percent((Decimal(100 * many) / of).quantize(Decimal("0.1")).normalize())

    def longer(self, mm: str | None) -> str:
        """A change of a length in mm, with its sign."""
        return "–" if mm is None else f"{'+' if Decimal(mm) > 0 else ''}{self.number(mm)} mm"


def spoken() -> Spoken:
    """For the current page."""
    return Spoken(language(), "metric")
