"""Values used in sentences: what was measured, counted or named, kept as data until the reader's language and units are known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any

from msgspec import Struct

Json = dict[str, Any]
_INCH = Decimal("25.4")
_MOST_DIGITS = 6


class Length(Struct, frozen=True, gc=False):
    """A length in mm."""

    mm: Decimal


class FineLength(Struct, frozen=True, gc=False):
    """A length in mm as read from a caliper, shown with as many decimals as it has; in inches with one more."""

    mm: Decimal


class Size(Struct, frozen=True, gc=False):
    """A nominal size in mm, shown as the trade writes it: 3/8 in, 8 mm."""

    mm: Decimal


class Dimension(Struct, frozen=True, gc=False):
    """A dimension in mm with all its digits, as given in a table or a reading."""

    mm: Decimal


class Quantity(Struct, frozen=True, gc=False):
    """A quantity in another unit, given to the digits to be shown, with the unit's SI symbol: 0.235 N/m, 0.0000115 /K."""

    value: Decimal
    unit: str


class Count(Struct, frozen=True, gc=False):
    """A whole number of things."""

    n: int


class Number(Struct, frozen=True, gc=False):
    """A number without a unit, given to the digits to be shown."""

    value: Decimal


class Percent(Struct, frozen=True, gc=False):
    """A share in percent, given to the digits to be shown."""

    value: Decimal


class Force(Struct, frozen=True, gc=False):
    """A force in N."""

    newtons: Decimal


class Temperature(Struct, frozen=True, gc=False):
    """A temperature in degrees Celsius."""

    celsius: Decimal


class Money(Struct, frozen=True, gc=False):
    """An amount in the major unit of a currency (ISO 4217)."""

    amount: Decimal
    currency: str


class Text(Struct, frozen=True, gc=False):
    """A text that is the same in every language: a tag, an article's number or name, a thread's designation, something a person wrote."""

    text: str


class Phrase(Struct, frozen=True, gc=False):
    """A word of the trade, or a phrase built from values, by its key in the catalogue of names: `end.upper`, `role.cap_shroud`."""

    key: str
    values: tuple[tuple[str, Value], ...] = ()


class Listing(Struct, frozen=True, gc=False):
    """Several values in one place, joined by `and`, `or`, or commas alone (`comma`)."""

    items: tuple[Value, ...]
    join: str = "and"


Value = Length | FineLength | Size | Dimension | Quantity | Count | Number | Percent | Force | Temperature | Money | Text | Phrase | Listing
Values = tuple[tuple[str, Value], ...]

_NUMBERS: dict[str, tuple[type[Any], str]] = {
    "length": (Length, "mm"),
    "fine_length": (FineLength, "mm"),
    "size": (Size, "mm"),
    "dimension": (Dimension, "mm"),
    "number": (Number, "value"),
    "percent": (Percent, "value"),
    "force": (Force, "newtons"),
    "temperature": (Temperature, "celsius"),
}
_NUMBERED = {made: (kind, name) for kind, (made, name) in _NUMBERS.items()}


def digits(number: Decimal) -> str:
    """A number with all its digits and no exponent. `str` gives the same in a ninth of the time where it writes no exponent."""
    text = str(number)
    return f"{number:f}" if "E" in text else text


def phrase(key: str, **values: Value) -> Phrase:
    """A phrase of the catalogue of names."""
    return Phrase(key, tuple(values.items())) if values else _bare(key)


@lru_cache(maxsize=4096)
def _bare(key: str) -> Phrase:
    return Phrase(key)


_MATERIALS = ("316_coated", "composition_b", "galvanised")  # those whose names differ by language; any other code is shown as it is


def material(code: str) -> Value:
    """A wire's material by its code in the catalogue."""
    return phrase(f"material.{code}") if code in _MATERIALS else Text(code)


def texts(items: Iterable[str], join: str = "and") -> Listing:
    """A listing of texts."""
    return Listing(tuple([Text(each) for each in items]), join)


def told_apart(one: Decimal, other: Decimal, digits: int) -> tuple[FineLength, FineLength]:
    """Two lengths in mm with at least `digits` decimals, or as many as it takes to tell them apart in mm and in inches."""
    while digits < _MOST_DIGITS and any(
        round(one / unit, more) == round(other / unit, more) for unit, more in ((1, digits), (_INCH, digits + 1))
    ):
        digits += 1
    return FineLength(round(one, digits)), FineLength(round(other, digits))


def compared(one: Decimal, other: Decimal) -> tuple[Length | FineLength, Length | FineLength]:
    """Two lengths in mm that a sentence compares, as values that are shown like other lengths, or with more decimals if they would look the same."""
    if one == other or abs(one - other) >= _INCH / 32:
        return Length(one), Length(other)
    return told_apart(one, other, 1)


def sizes(items: Iterable[Decimal], join: str = "and") -> Listing:
    """A listing of nominal sizes in mm."""
    return Listing(tuple([Size(each) for each in items]), join)


def phrases(keys: Iterable[str], join: str = "and") -> Listing:
    """A listing of phrases without values."""
    return Listing(tuple([Phrase(each) for each in keys]), join)


def values_document(values: Values) -> Json:
    """Named values as JSON, each with its kind."""
    return {name: value_document(each) for name, each in values}


def value_document(value: Value) -> Json:
    """One value as JSON."""
    numbered = _NUMBERED.get(type(value))
    if numbered is not None:
        kind, name = numbered
        return {"kind": kind, name: digits(getattr(value, name))}
    match value:
        case Text(text):
            return {"kind": "text", "text": text}
        case Phrase(key, values):
            return {"kind": "phrase", "phrase": key, "values": values_document(values)}
        case Listing(items, join):
            return {"kind": "list", "join": join, "items": [value_document(each) for each in items]}
        case Count(n):
            return {"kind": "count", "count": n}
        case Quantity(number, unit):
            return {"kind": "quantity", "value": digits(number), "unit": unit}
        case Money(amount, currency):
            return {"kind": "money", "amount": str(amount), "currency": currency}
        case _:
            raise TypeError(f"{type(value).__name__} is not a value of a sentence")


def values_read(document: Mapping[str, Json]) -> Values:
    """The values of a stored document."""
    return tuple([(name, value_read(each)) for name, each in document.items()])


def value_read(document: Json) -> Value:
    """One value from its JSON. Raises KeyError for an unknown kind."""
    kind = document["kind"]
    if kind == "text":
        return Text(document["text"])
    if kind == "phrase":
        return Phrase(document["phrase"], values_read(document["values"]))
    if kind == "list":
        return Listing(tuple([value_read(each) for each in document["items"]]), document["join"])
    if kind == "count":
        return Count(document["count"])
    if kind == "quantity":
        return Quantity(Decimal(document["value"]), document["unit"])
    if kind == "money":
        return Money(Decimal(document["amount"]), document["currency"])
    made, name = _NUMBERS[kind]
    read: Value = made(Decimal(document[name]))
    return read
