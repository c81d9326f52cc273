"""A voice words findings, terms and phrases in one language and one system of units, for one reader."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from functools import cache, lru_cache
from string import Formatter
from typing import TYPE_CHECKING, Any, NamedTuple

from msgspec import Struct

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
    digits,
    phrase,
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


Parts = tuple[tuple[str, str | None, str], ...]


class WordedTerm(NamedTuple):
    """A line of a derivation in words; `inputs` are the quantities of its formula by name."""

    step: str
    formula: str
    inputs: dict[str, str]


class WordedFinding(NamedTuple):
    """A finding in words: what was found, and what to do about it."""

    message: str
    remedy: str


class Voice(Struct, frozen=True, gc=False):
    """`language` is one of LANGUAGES, `units` metric or imperial, `reader` owner or shop.

    The owner sees lengths in the units of the quote, the shop in both.
    """

    language: str = "en"
    units: str = "metric"
    reader: str = "owner"

    def finding(self, finding: Finding) -> WordedFinding:
        """A finding in words. A finding on which only the shop can act is worded for the shop, whoever reads it."""
        forms = entries(self.language)[f"{finding.code}.{finding.wording}" if finding.wording else finding.code]
        shop = self.reader == "shop" or "owner" not in forms
        message = forms.get("shop") if shop else None
        remedy = forms.get("shop_remedy") if shop else None
        return WordedFinding(
            self.filled(forms["owner"] if message is None else message, finding.values),
            self.filled(forms["owner_remedy"] if remedy is None else remedy, finding.values),
        )

    def term(self, term: Term) -> WordedTerm:
        """A line of a derivation in words."""
        step_form, formula = _term_forms(self.language, term.code, term.wording)
        values, listed = dict(term.values), _inputs(self.language)
        if term.at is not None:
            values["end"] = phrase(f"end.{term.at}")
        in_words: dict[str, str] = {}
        inputs = {}
        for name, each in term.values:
            if (label := listed.get(name)) is not None:
                in_words[name] = inputs[label] = _SAY[type(each)](self, each, "")
        step = self._filled_with(step_form, values, in_words)
        if term.old:
            step = self._fill(names(self.language)["term.old"]["step"], (("step", Text(step)),))
        return WordedTerm(step, self._filled_with(formula, values, in_words), inputs)

    def phrase(self, value: Phrase, form: str = "name") -> str:
        """A phrase in one of its forms. Raises KeyError if the catalogue has no such form."""
        if value.key.startswith(ASSUMPTION):
            return self._fill(entries(self.language)[value.key.removeprefix(ASSUMPTION)]["short"], value.values)
        forms = names(self.language)[value.key]
        if form in _CONTRACTED and form not in forms:
            return _contracted(form, self._fill(forms["dem"], value.values))
        return self._fill(forms[form or "name"], value.values)

    def filled(self, template: str, values: Values) -> str:
        """A sentence with its values filled in; its first letter is capitalised if the template begins with a phrase."""
        text = self._fill(template, values)
        return text[:1].upper() + text[1:] if template.startswith("{") and _first(template, values) else text

    def _fill(self, template: str, values: Values) -> str:
        if "{" not in template:
            return template
        return self._filled_with(_parts(template), dict(values), {})

    def _filled_with(self, parts: Parts, values: dict[str, Value], in_words: dict[str, str]) -> str:
        """A template's parts as text; `in_words` holds values that have already been worded, in their plain form."""
        filled = []
        for text, name, form in parts:
            filled.append(text)
            if name is not None:
                filled.append(in_words[name] if not form and name in in_words else self.value(values[name], form))
        return "".join(filled)

    def value(self, value: Value, form: str = "") -> str:
        """One value in words; `form` selects a phrase's form, or gives a count's words for one and for several: `wire|wires`."""
        return _SAY[type(value)](self, value, form)

    def length(self, mm: Decimal) -> str:
        """A length for use in a sentence, to 0.1 mm or 1/32 in; never `0 in` unless the length is zero."""
        inches, millimetres = self.local(imperial(mm)), self.local(metric(mm))
        if imperial(mm) == "0 in" and mm:
            return millimetres
        first, second = (inches, millimetres) if self.units == "imperial" else (millimetres, inches)
        return f"{first} ({second})" if self.reader == "shop" else first

    def local(self, text: str) -> str:
        """A figure with this language's decimal separator and units."""
        return localised(text, self.language)


def _text(voice: Voice, value: Text, _: str) -> str:
    """The text as it is, except that a size, such as `1/4 in`, is localised."""
    return voice.local(value.text) if value.text[:1].isdigit() and _FIGURE.fullmatch(value.text) else value.text


def _phrase(voice: Voice, value: Phrase, form: str) -> str:
    return voice.phrase(value, form) if value.values else _bare(voice, value.key, form)


def _listing(voice: Voice, value: Listing, form: str) -> str:
    return _listed(voice, [voice.value(each, form) for each in value.items], value.join)


def _count(voice: Voice, value: Count, form: str) -> str:
    return _counted(value.n, form) if form else str(value.n)


def _length(voice: Voice, value: Length, _: str) -> str:
    return voice.length(value.mm)


def _fine_length(voice: Voice, value: FineLength, _: str) -> str:
    return _fine(voice, value.mm)


def _size(voice: Voice, value: Size, _: str) -> str:
    return voice.local(nominal(value.mm))


def _dimension(voice: Voice, value: Dimension, _: str) -> str:
    return voice.local(f"{digits(value.mm.normalize())} mm")


def _quantity(voice: Voice, value: Quantity, _: str) -> str:
    return voice.local(f"{digits(value.value)} {value.unit}")


def _number(voice: Voice, value: Number, _: str) -> str:
    return voice.local(digits(value.value))


def _percent(voice: Voice, value: Percent, _: str) -> str:
    return voice.local(f"{digits(value.value)} %")


def _money(voice: Voice, value: Money, _: str) -> str:
    return f"{voice.local(money_text(value.amount, value.currency))} {value.currency}"


def _fine(voice: Voice, mm: Decimal) -> str:
    decimals = max(0, -int(mm.as_tuple().exponent))
    millimetres, inches = voice.local(f"{digits(mm)} mm"), voice.local(f"{mm / INCH:.{decimals + 1}f} in")
    first, second = (inches, millimetres) if voice.units == "imperial" else (millimetres, inches)
    return f"{first} ({second})" if voice.reader == "shop" else first


def _force(voice: Voice, value: Force, _: str) -> str:
    newtons = value.newtons
    metric_text = f"{newtons / 1000:.2f} kN" if abs(newtons) >= 1000 else f"{newtons:.0f} N"
    pounds = f"{newtons / _POUND:.0f} lbf"
    if voice.units != "imperial":
        return voice.local(metric_text)
    return f"{pounds} ({voice.local(metric_text)})"


def _temperature(voice: Voice, value: Temperature, _: str) -> str:
    return voice.local(_degrees(value.celsius, voice.units))


@lru_cache(maxsize=1024)
def _degrees(celsius: Decimal, units: str) -> str:
    """Rounded, so that equal temperatures look alike to however many digits they are given."""
    return f"{_short(celsius * 9 / 5 + 32)} °F" if units == "imperial" else f"{_short(celsius)} °C"


def _listed(voice: Voice, items: list[str], join: str) -> str:
    if join == "comma" or len(items) < 2:
        return ", ".join(items)
    return f"{', '.join(items[:-1])} {voice.phrase(Phrase(f'list.{join}'))} {items[-1]}"


_SAY: dict[type[Value], Callable[[Voice, Any, str], str]] = {
    Text: _text, Phrase: _phrase, Listing: _listing, Count: _count, Length: _length,
    FineLength: _fine_length, Size: _size, Dimension: _dimension, Quantity: _quantity, Number: _number,
    Percent: _percent, Force: _force, Temperature: _temperature, Money: _money,
}  # fmt: skip


@lru_cache(maxsize=8192)
def _bare(voice: Voice, key: str, form: str) -> str:
    """A phrase without values: cached, since names recur. Numbers are not cached: 1.5 and 1.50 are equal, but shown with their own digits."""
    return voice.phrase(Phrase(key), form)


@lru_cache(maxsize=1024)
def _term_forms(language: str, code: str, wording: str) -> tuple[Parts, Parts]:
    """The templates of a term's step and formula; a wording may override either."""
    known = names(language)
    forms = {**known[f"term.{code}"], **known.get(f"term.{code}.{wording}", {})}
    return _parts(forms["step"]), _parts(forms["formula"])


@cache
def _inputs(language: str) -> dict[str, str]:
    """The labels of the quantities that are listed beside a formula, by name."""
    return {key.removeprefix("input."): forms["name"] for key, forms in names(language).items() if key.startswith("input.")}


@cache
def _parts(template: str) -> Parts:
    """A template's parts: (text, name and form of the value after the text)."""
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
    """A figure with a language's decimal separator, and its words for inches and feet.

    German writes both out, on drawings and in tables as in sentences: `in` is a word of the language ("Draht 1/4 in der Gabel"), and the
    marks ' and " are lost or taken for one another on paper that is copied and stained. Pounds of force keep their symbol.
    """
    if language == "en":
        return text
    return _IMPERIAL.sub(lambda unit: _SPELLED[unit[1]], text.replace(".", _DECIMALS[language]))


@cache
def voice_for(language: str, units: str, reader: str) -> Voice:
    """The voice for a reader. An unknown language falls back to English."""
    return Voice(language if language in _DECIMALS else "en", units, reader)
