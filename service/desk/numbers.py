"""Numbers, money, days and moments of all pages, one way for each language; moments are told as the shop's clock has them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from service.desk.pages import language
from service.documents.speech import Speech
from service.http.current import engine

_COMMA = re.compile(r"^([0-9]{1,12}),([0-9]{1,2})((?: ?%)?)$", re.ASCII)
_LOCALES = {"en": "en_GB", "de": "de_DE"}  # one a language: two ways of writing a day are mistaken for each other


@dataclass(frozen=True, slots=True)
class Spoken(Speech):
    """The papers' way, and what only the desk says. Units say only which length comes first."""

    @property
    def locale(self) -> str:
        """The locale for numbers and dates."""
        return _LOCALES[self.language]

    def moment(self, at: str | float) -> str:
        """Day and time of an RFC 3339 moment, or of seconds since 1970."""
        return f"{self.day_of(at)}, {_there(at):%H:%M}"

    def day_of(self, at: str | float) -> str:
        """The day of such a moment."""
        return self.day(_there(at).date())

    def month(self, iso: str) -> str:
        """A month, such as 2026-11, written out."""
        from babel.dates import format_date

        return format_date(datetime.fromisoformat(f"{iso}-01"), "LLLL y", locale=self.locale)

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


def _there(at: str | float) -> datetime:
    moment = datetime.fromisoformat(at) if isinstance(at, str) else datetime.fromtimestamp(at, UTC)
    return moment.astimezone(engine().zone)


def with_point(typed: str) -> str:
    """What was typed, with a point for a decimal comma, as Germans write one; three digits behind a comma may be
    thousands, and stay."""
    return _COMMA.sub(r"\1.\2\3", typed.strip())


def spoken(units: str = "metric") -> Spoken:
    """For the current page. `units`: which length comes first."""
    return Spoken(language(), units)
