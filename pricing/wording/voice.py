"""A voice puts findings and phrases into words: in one language and one system of units, for one reader."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from string import Formatter
from typing import TYPE_CHECKING, NamedTuple

from pricing.money import money_text
from pricing.units import imperial, metric, nominal
from pricing.values import (
    Count,
    Dimension,
    FineLength,
    Force,
    Length,
    Listing,
    Money,
    Number,
    Percent,
    Phrase,
    Quantity,
    Size,
    Temperature,
    Text,
    Value,
    Values,
)
from pricing.wording.catalogue import entries, names

if TYPE_CHECKING:
    from pricing.derivation import Term
    from pricing.findings import Finding

_DECIMALS = {"en": ".", "de": ","}
_SPELLED = {"in": "Zoll", "ft": "Fuß"}
_IMPERIAL = re.compile(r"(?<=\d )(in|ft)\b")
_FIGURE = re.compile(r"\d[\d /.]*(?: (?:mm|in|ft)\b[\d /.()]*)+")
INCH = Decimal("25.4")
_CONTRACTED = {"am": "an", "im": "in", "vom": "von", "zum": "zu"}  # forms that follow from the dative
_POUND = Decimal("4.4482216152605")  # N in 1 lbf, exact (NIST SP 811, appendix B.8)


ASSUMPTION = "assumption."  # a phrase that is the short form of an assumption's finding


class SaidTerm(NamedTuple):
    """A line of a derivation in words; `inputs` are the quantities of its formula by name."""

    step: str
    formula: str
    inputs: dict[str, str]


class Said(NamedTuple):
    """A finding in words: what was found, and what to do about it."""

    message: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Voice:
    """`language` is one of LANGUAGES, `units` metric or imperial, `reader` owner or shop.

    The owner sees lengths in the units of the quote, the shop in both.
    """

    language: str = "en"
    units: str = "metric"
    reader: str = "owner"

    def finding(self, found: Finding) -> Said:
        """A finding in words. One that only the shop can act on has the shop's words for every reader."""
        forms = entries(self.language)[f"{found.code}.{found.wording}" if found.wording else found.code]
        shop = self.reader == "shop" or "owner" not in forms
        message = forms.get("shop") if shop else None
        remedy = forms.get("shop_remedy") if shop else None
        return Said(
            self.filled(forms["owner"] if message is None else message, found.values),
            self.filled(forms["owner_remedy"] if remedy is None else remedy, found.values),
        )

    def term(self, made: Term) -> SaidTerm:
        """A line of a derivation in words."""
        known = names(self.language)
        forms = {**known[f"term.{made.code}"], **known.get(f"term.{made.code}.{made.wording}", {})}
        values: Values = made.values if made.at is None else (*made.values, ("end", Phrase(f"end.{made.at}")))
        step = self._fill(forms["step"], values)
        if made.old:
            step = self._fill(known["term.old"]["step"], (("step", Text(step)),))
        inputs = {known[f"input.{name}"]["name"]: self.value(each) for name, each in made.values if f"input.{name}" in known}
        return SaidTerm(step, self._fill(forms["formula"], values), inputs)

    def phrase(self, said: Phrase, form: str = "name") -> str:
        """A phrase in one of its forms. Raises KeyError if the catalogue has no such form."""
        if said.key.startswith(ASSUMPTION):
            return self._fill(entries(self.language)[said.key.removeprefix(ASSUMPTION)]["short"], said.values)
        forms = names(self.language)[said.key]
        if form in _CONTRACTED and form not in forms:
            return _contracted(form, self._fill(forms["dem"], said.values))
        return self._fill(forms[form or "name"], said.values)

    def filled(self, template: str, values: Values) -> str:
        """A sentence with its values filled in; its first letter is capitalised if the template begins with a phrase."""
        text = self._fill(template, values)
        return text[:1].upper() + text[1:] if template.startswith("{") and _first(template, values) else text

    def _fill(self, template: str, values: Values) -> str:
        if "{" not in template:
            return template
        named = dict(values)
        return "".join([text if name is None else text + self.value(named[name], form) for text, name, form in _parts(template)])

    def value(self, value: Value, form: str = "") -> str:
        """One value in words; `form` is the form of a phrase, or for a count the words for one and for several: `wire|wires`."""
        return _in_words(self, value, form)

    def in_words(self, value: Value, form: str) -> str:
        """One value in words, without the cache that `value` uses."""
        match value:
            case Text(text):
                return self.local(text) if _FIGURE.fullmatch(text) else text  # a size as a table or a person wrote it
            case Phrase():
                return self.phrase(value, form)
            case Listing(items, join):
                return self._listed([self.value(each, form) for each in items], join)
            case Count(n):
                return _counted(n, form) if form else str(n)
            case Length(mm):
                return self.length(mm)
            case _:
                return self._number(value)

    def _number(self, value: FineLength | Size | Dimension | Quantity | Number | Percent | Force | Temperature | Money) -> str:
        match value:
            case FineLength(mm):
                return self._fine(mm)
            case Size(mm):
                return self.local(nominal(mm))
            case Dimension(mm):
                return self.local(f"{mm.normalize():f} mm")
            case Quantity(number, unit):
                return self.local(f"{number:f} {unit}")
            case Number(number):
                return self.local(f"{number:f}")
            case Percent(share):
                return self.local(f"{share:f} %")
            case Force(newtons):
                return self._force(newtons)
            case Temperature(celsius):
                return self._temperature(celsius)
            case Money(amount, currency):
                return f"{self.local(money_text(amount, currency))} {currency}"

    def length(self, mm: Decimal) -> str:
        """A length for use in a sentence: to 0.1 mm and 1/32 in; never as `0 in` unless the length is zero."""
        inches, millimetres = self.local(imperial(mm)), self.local(metric(mm))
        if imperial(mm) == "0 in" and mm:
            return millimetres
        first, second = (inches, millimetres) if self.units == "imperial" else (millimetres, inches)
        return f"{first} ({second})" if self.reader == "shop" else first

    def _fine(self, mm: Decimal) -> str:
        digits = max(0, -int(mm.as_tuple().exponent))
        millimetres, inches = self.local(f"{mm:f} mm"), self.local(f"{mm / INCH:.{digits + 1}f} in")
        first, second = (inches, millimetres) if self.units == "imperial" else (millimetres, inches)
        return f"{first} ({second})" if self.reader == "shop" else first

    def local(self, text: str) -> str:
        """A figure as this language writes it."""
        return localised(text, self.language)

    def _force(self, newtons: Decimal) -> str:
        metric_text = f"{newtons / 1000:.2f} kN" if abs(newtons) >= 1000 else f"{newtons:.0f} N"
        pounds = f"{newtons / _POUND:.0f} lbf"
        if self.units != "imperial":
            return self.local(metric_text)
        return f"{pounds} ({self.local(metric_text)})"

    def _temperature(self, celsius: Decimal) -> str:
        degrees = celsius * 9 / 5 + 32 if self.units == "imperial" else celsius
        return self.local(f"{_short(degrees)} {'°F' if self.units == 'imperial' else '°C'}")

    def _listed(self, items: list[str], join: str) -> str:
        if join == "comma" or len(items) < 2:
            return ", ".join(items)
        return f"{', '.join(items[:-1])} {self.phrase(Phrase(f'list.{join}'))} {items[-1]}"


@lru_cache(maxsize=32768)
def _in_words(voice: Voice, value: Value, form: str) -> str:
    """Cached, since names, sizes and dimensions from the catalogue recur."""
    return voice.in_words(value, form)


@cache
def _parts(template: str) -> tuple[tuple[str, str | None, str], ...]:
    """A template's pieces: a text, and the name and form of the value after it."""
    return tuple([(text, name, form or "") for text, name, form, _ in Formatter().parse(template)])


def _contracted(form: str, dative: str) -> str:
    """A German dative with its preposition: am Auge, an der Gabel, zum Auge, zur Gabel."""
    preposition = _CONTRACTED[form]
    if dative.startswith("dem "):
        return f"{form} {dative[4:]}"
    return f"zur {dative[4:]}" if form == "zum" and dative.startswith("der ") else f"{preposition} {dative}"


def _counted(n: int, forms: str) -> str:
    one, _, several = forms.partition("|")
    return one if n == 1 else several


def _short(number: Decimal) -> str:
    rounded = number.quantize(Decimal("0.1"))
    return f"{rounded.to_integral_value() if rounded == rounded.to_integral_value() else rounded:f}"


def _first(template: str, values: Values) -> bool:
    """Whether a template begins with a value that is a phrase."""
    name = template[1:].partition("}")[0].partition(":")[0]
    first: Value | None = dict(values).get(name)
    return isinstance(first, Phrase) or (isinstance(first, Listing) and bool(first.items) and isinstance(first.items[0], Phrase))


def localised(text: str, language: str) -> str:
    """A figure with a language's decimal separator, and inches and feet as it writes them.

    German writes both out, on drawings and in tables as in sentences: `in` is a word of the language ("Draht 1/4 in der Gabel"), and the
    marks ' and " are lost or taken for one another on paper that is copied and stained. Pounds of force keep their symbol.
    """
    if language == "en":
        return text
    return _IMPERIAL.sub(lambda found: _SPELLED[found[1]], text.replace(".", _DECIMALS[language]))


@cache
def voice_for(language: str, units: str, reader: str) -> Voice:
    """The voice for a reader. An unknown language falls back to English."""
    return Voice(language if language in _DECIMALS else "en", units, reader)
