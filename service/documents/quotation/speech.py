"""The languages of the quotation: its texts from a catalogue of messages, its numbers, money and days by CLDR (Babel).

What a quote has of its findings is English in every language; a sentence for each code tells what it means, and what to do.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from gettext import NullTranslations
from pathlib import Path

from pricing.units import imperial, metric
from service.documents.quotation import names
from service.documents.rig.terms import Document

LANGUAGES = ("en", "de")
_FOLDER = Path(__file__).parents[1] / "locale"
_LOCALES = {("en", "imperial"): "en_US", ("en", "metric"): "en_GB", ("de", "imperial"): "de_DE", ("de", "metric"): "de_DE"}


@dataclass(frozen=True, slots=True)
class Speech:
    """One language, and the units that lead. `locale` is a CLDR name."""

    language: str
    units: str

    @property
    def locale(self) -> str:
        """What numbers and days are written by."""
        return _LOCALES[self.language, self.units]

    @property
    def decimal(self) -> str:
        """What stands between whole and parts of a number."""
        from babel.numbers import get_decimal_symbol

        return get_decimal_symbol(self.locale)

    def money(self, amount: str | None, currency: str) -> str:
        """An amount with its currency, in that currency's digits; a dash where there is none."""
        from babel.numbers import format_currency

        return "–" if amount is None else format_currency(Decimal(amount), currency, locale=self.locale)

    def price(self, amount: str | None, currency: str) -> str:
        """A price of one unit, with all its digits."""
        from babel.numbers import format_currency

        return "–" if amount is None else format_currency(Decimal(amount), currency, locale=self.locale, decimal_quantization=False)

    def number(self, amount: str) -> str:
        """A number with all its digits."""
        from babel.numbers import format_decimal

        return format_decimal(Decimal(amount), locale=self.locale, decimal_quantization=False)

    def percent(self, amount: str) -> str:
        """A percentage from its number, `7` for seven percent."""
        from babel.numbers import format_percent

        return format_percent(Decimal(amount) / 100, locale=self.locale, decimal_quantization=False)

    def day(self, iso: str | date) -> str:
        """A day in full, so that no two readers take it for different ones."""
        from babel.dates import format_date

        return format_date(iso if isinstance(iso, date) else date.fromisoformat(iso), "long", locale=self.locale)

    def lengths(self, length: Document | None) -> tuple[str, str]:
        """A length in the leading unit and in the other; millimetres to 0.1, ungrouped as on a drawing, inches to the nearest 1/32."""
        if length is None:
            return "–", ""
        value = Decimal(length["mm"])
        millimetres, inches = metric(value).replace(".", self.decimal), imperial(value)
        return (inches, millimetres) if self.units == "imperial" else (millimetres, inches)

    def finding(self, code: str) -> tuple[str, str] | None:
        """What a finding of this code means, and what to do; None in English, which the quote itself has, and for a code without words."""
        meaning, _, remedy = self.messages().pgettext("finding", code).partition("\n")
        return (meaning, remedy) if remedy else None

    def name(self, text: str) -> str | None:
        """A name put together from known words, in this language; None where it stays as it is."""
        return None if self.language == "en" else names.translated(text, self.messages(), self.decimal)

    def messages(self) -> NullTranslations:
        """The catalogue of messages; English stands in the templates themselves."""
        return _messages(self.language)


@cache
def _messages(language: str) -> NullTranslations:
    if language == "en":
        return NullTranslations()
    import io

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po
    from babel.support import Translations

    with (_FOLDER / language / "quotation.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return Translations(compiled)


def speech(language: str, document: Document) -> Speech:
    """The language, else English, with the units that the quote leads with."""
    return Speech(language if language in LANGUAGES else "en", document["display_units"])
