"""Writes numbers, money, days and moments on the desk's pages, one way for each language; moments are in the shop's time zone."""

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
class PageSpeech(Speech):
    """Writes values as the papers do, and those that only the desk shows. `units` only says which unit of a length comes first."""

    @property
    def locale(self) -> str:
        """The locale for numbers and dates."""
        return _LOCALES[self.language]

    def moment(self, at: str | float) -> str:
        """Day and time of an RFC 3339 moment, or of seconds since 1970."""
        return f"{self.day_of(at)}, {_at_the_shop(at):%H:%M}"

    def day_of(self, at: str | float) -> str:
        """The day of a moment, as `moment` takes it."""
        return self.day(_at_the_shop(at).date())

    def month(self, iso: str) -> str:
        """A month, such as 2026-11, written out."""
        from babel.dates import format_date

        return format_date(datetime.fromisoformat(f"{iso}-01"), "LLLL y", locale=self.locale)

    def more(self, amount: str | None, currency: str) -> str:
        """A difference in money, with its sign; a dash for None."""
        if amount is None:
            return "–"
        return ("+" if Decimal(amount) > 0 else "") + self.money(amount, currency)

    def share(self, many: int, of: int) -> str:
        """A share in per cent, to a tenth; a dash where there is nothing to share."""
        return "–" if not of else self.percent((Decimal(100 * many) / of).quantize(Decimal("0.1")).normalize())

    def longer(self, mm: str | None) -> str:
        """A difference in length, in mm, with its sign; a dash for None."""
        return "–" if mm is None else f"{'+' if Decimal(mm) > 0 else ''}{self.number(mm)} mm"


def _at_the_shop(at: str | float) -> datetime:
    """The moment in the shop's time zone."""
    moment = datetime.fromisoformat(at) if isinstance(at, str) else datetime.fromtimestamp(at, UTC)
    return moment.astimezone(engine().zone)


def with_point(typed: str) -> str:
    """The text with a decimal comma, as Germans write it, replaced by a point. A comma before three digits may separate thousands and stays."""
    return _COMMA.sub(r"\1.\2\3", typed.strip())


def page_speech(units: str = "metric") -> PageSpeech:
    """How the current page writes values, in its language. `units`: which unit of a length comes first."""
    return PageSpeech(language(), units)
