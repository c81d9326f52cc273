"""How papers write: texts in their language from a message catalogue; numbers, money and dates by CLDR (Babel).

Findings, and the names of wires and ends, are worded from the catalogue in `pricing/wording`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from gettext import NullTranslations
from typing import Any, TypeAlias

import msgspec

from pricing.cautions import caution_in
from pricing.findings import retold
from pricing.model import Length, Millimetres, QuotedFinding, Uncertainty
from pricing.units import imperial, metric
from pricing.values import Phrase
from pricing.wording import Voice, WordedFinding, localised, voice_for
from service.documents import names
from service.encoding.languages import LANGUAGES
from service.wording import messages

Measure: TypeAlias = Length | Millimetres | Uncertainty


class FindingText(msgspec.Struct, frozen=True):
    """A finding in words, and the language that they are in."""

    message: str
    remedy: str
    language: str


_LOCALES = {("en", "imperial"): "en_US", ("en", "metric"): "en_GB", ("de", "imperial"): "de_DE", ("de", "metric"): "de_DE"}


@dataclass(frozen=True, slots=True)
class Speech:
    """A language, and the units that come first. `locale` is a CLDR name."""

    language: str
    units: str

    @property
    def locale(self) -> str:
        """The locale for numbers and dates."""
        return _LOCALES[self.language, self.units]

    @property
    def decimal(self) -> str:
        """The decimal separator."""
        from babel.numbers import get_decimal_symbol

        return get_decimal_symbol(self.locale)

    def money(self, amount: Decimal | str | None, currency: str) -> str:
        """An amount with its currency, with that currency's decimals; a dash if there is none."""
        from babel.numbers import format_currency

        return "–" if amount is None else format_currency(Decimal(amount), currency, locale=self.locale)

    def price(self, amount: Decimal | str | None, currency: str) -> str:
        """A price per unit, with all its digits."""
        from babel.numbers import format_currency

        return "–" if amount is None else format_currency(Decimal(amount), currency, locale=self.locale, decimal_quantization=False)

    def number(self, amount: Decimal | str) -> str:
        """A number with all its digits."""
        from babel.numbers import format_decimal

        return format_decimal(Decimal(amount), locale=self.locale, decimal_quantization=False)

    def percent(self, amount: Decimal | str) -> str:
        """A percentage from its number, `7` for seven per cent."""
        from babel.numbers import format_percent

        return format_percent(Decimal(amount) / 100, locale=self.locale, decimal_quantization=False)

    def day(self, iso: str | date) -> str:
        """A date in full, so that no two readers take it for different days."""
        from babel.dates import format_date

        return format_date(iso if isinstance(iso, date) else date.fromisoformat(iso), "long", locale=self.locale)

    def lengths(self, length: Measure | None) -> tuple[str, str]:
        """A length in the first unit and in the other; millimetres to 0.1, without digit grouping as on a drawing, inches to the
        nearest 1/32.
        """
        if length is None:
            return "–", ""
        millimetres, inches = self.local(metric(length.mm)), self.local(imperial(length.mm))
        return (inches, millimetres) if self.units == "imperial" else (millimetres, inches)

    def boat_length(self, length: Measure) -> str:
        """A boat's length as people say it: feet and inches, or metres to 0.01."""
        return self.lengths(length)[0] if self.units == "imperial" else self.local(f"{length.mm / 1000:.2f} m")

    def country(self, code: str) -> str:
        """The name of a country (ISO 3166-1 alpha-2) from CLDR; an unknown code stays as it is."""
        from babel import Locale

        return str(Locale.parse(self.locale).territories.get(code, code))

    def owner_findings(self, findings: Iterable[QuotedFinding]) -> list[FindingText]:
        """The findings that the boat's owner can act on, in this language; those of earlier releases as they were issued."""
        reworded = [(each, self.retold(each, "owner")) for each in findings if each.reader == "owner"]
        return [
            FindingText(each.message, each.remedy, "en") if text is None else FindingText(*text, self.language) for each, text in reworded
        ]

    def retold(self, finding: QuotedFinding, reader: str) -> WordedFinding | None:
        """A stored finding worded in this language, with the names of articles in it; None for one of an earlier release, which cannot be."""
        if self.language != "en" and finding.values is not None:
            finding = msgspec.structs.replace(finding, values=self.named_in(finding.values))
        return retold(finding, voice_for(self.language, self.units, reader))

    def named_in(self, value: Any) -> Any:
        """The stored values of a finding, with names composed of known words in this language."""
        if isinstance(value, list):
            return [self.named_in(each) for each in value]
        if not isinstance(value, dict):
            return value
        if value.get("kind") == "text":
            return {**value, "text": self.named(value["text"])}
        return {name: self.named_in(each) for name, each in value.items()}

    def cautions(self, texts: Iterable[str]) -> list[str]:
        """Cautions in this language; those of an earlier release as they were issued."""
        return [caution_in(each, self.language) or each for each in texts]

    def say(self, message: str, **values: object) -> str:
        """A text of the papers in this language, with its values filled in."""
        text = self.messages().gettext(message)
        return text % values if values else text

    def several(self, one: str, many: str, count: int, **values: object) -> str:
        """The same for a text with a singular and a plural; the count is its value `%(num)s`."""
        return self.messages().ngettext(one, many, count) % {"num": count, **values}

    def local(self, text: str) -> str:
        """A figure of a document with this language's decimal separator, and inches and feet as it writes them."""
        return localised(text, self.language)

    def phrase(self, key: str, form: str = "name") -> str:
        """A word of the catalogue of names."""
        return self.shop.phrase(Phrase(key), form)

    @property
    def shop(self) -> Voice:
        """The voice for sentences to the shop."""
        return voice_for(self.language, self.units, "shop")

    def name(self, text: str) -> str | None:
        """A name composed of known words, in this language; None if it is to be left unchanged."""
        return None if self.language == "en" else names.translated(text, self.messages(), self.local)

    def named(self, text: str) -> str:
        """A name, or several separated by `; `, in this language where they are composed of known words."""
        return "; ".join(self.name(each) or each for each in text.split("; "))

    def messages(self) -> NullTranslations:
        """The message catalogue; English is in the code and the templates themselves."""
        return messages(self.language)


def speech_in(language: str, units: str) -> Speech:
    """How a paper writes in a language; English for one that is not known. `units`: which come first."""
    return Speech(language if language in LANGUAGES else "en", units)
