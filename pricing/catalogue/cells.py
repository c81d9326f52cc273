"""Cell types for catalogue tables: each parses a cell into a typed value and renders it as JSON. To add a type, add a `Cell` here."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Any

from pricing.catalogue import factors
from pricing.catalogue.threads import normal_thread
from pricing.units import parse_force, parse_length, parse_temperature, parse_temperature_difference

Json = str | int | None | dict[str, str] | list[dict[str, str]] | list[str]

_LONGEST = 300
_NUMBER = r"[0-9]{1,12}(?:\.[0-9]{1,12})?"
_DECIMAL = re.compile(_NUMBER, re.ASCII)
_INTEGER = re.compile(r"[0-9]{1,9}", re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_COUNTRY = re.compile(r"[A-Z]{2}", re.ASCII)
_CODE = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*", re.ASCII)
_LONGEST_CODE = 40
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
_QUANTITY = re.compile(rf"({_NUMBER}) ?([A-Za-z][A-Za-z0-9/]*)", re.ASCII)
_VALUE = Context(prec=20)  # fewer digits than the factors carry, so that 30 s is exactly half a minute
_SHOWN = Context(prec=6, rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Cell:
    """`read` raises ValueError on text that is not `expected`; `show` gives the JSON form of (value, text as written).

    `kind` tells code that prepares its text what it reads: text, decimal, integer, choice, length, quantity, day, thread or listed. `names`
    are the codes of a choice or the units of a quantity, `of` the cell type of a list's items.
    """

    read: Callable[[str], Any]
    expected: str
    show: Callable[[Any, str], Json]
    kind: str = "text"
    names: tuple[str, ...] = ()
    of: Cell | None = None


def plain(value: Decimal) -> str:
    """A decimal as text, without an exponent or trailing zeros."""
    return format(value.normalize(), "f") if value else "0"


def _as_written(value: Any, text: str) -> Json:
    return text


def _matched(pattern: re.Pattern[str], text: str) -> str:
    if pattern.fullmatch(text) is None:
        raise ValueError(text)
    return text


def _text(text: str) -> str:
    if len(text) > _LONGEST or not text.isprintable():
        raise ValueError(text)
    return text


def _day(text: str) -> date:
    return date.fromisoformat(_matched(_DAY, text))


def decimal(expected: str = "a decimal of 0 or more, such as 12.50", most: int | None = None, least: str = "0") -> Cell:
    """A plain decimal from `least` to `most`: ASCII digits only, with no sign, exponent or digit grouping."""

    def read(text: str) -> Decimal:
        value = Decimal(_matched(_DECIMAL, text))
        if value < Decimal(least) or (most is not None and value > most):
            raise ValueError(text)
        return value

    return Cell(read, expected, _as_written, "decimal")


def integer(least: int = 0) -> Cell:
    """A whole number of `least` or more."""

    def read(text: str) -> int:
        value = int(_matched(_INTEGER, text))
        if value < least:
            raise ValueError(text)
        return value

    return Cell(read, f"a whole number of {least} or more", lambda value, text: int(value), "integer")


def choice(*names: str) -> Cell:
    """One of a closed list of codes."""

    def read(text: str) -> str:
        if text not in names:
            raise ValueError(text)
        return text

    return Cell(read, "one of " + ", ".join(names), _as_written, "choice", names)


def code(expected: str) -> Cell:
    """A code of the shop's own: lower-case letters, digits and single underscores, beginning with a letter."""

    def read(text: str) -> str:
        if len(text) > _LONGEST_CODE:
            raise ValueError(text)
        return _matched(_CODE, text)

    return Cell(read, expected, _as_written)


def length(*, zero: bool = False) -> Cell:
    """A length with its unit, in the same format as in requests; `zero` allows `0 mm`."""
    more = "; 0 is allowed" if zero else ""
    return Cell(
        lambda text: parse_length(text, zero),
        f"a length with its unit, such as '3/8 in' or '52.4 mm'{more}",
        lambda value, text: {"mm": plain(value), "text": text},
        "length",
    )


def quantity(units: factors.Units, shown: str, example: str) -> Cell:
    """A number followed by one of `units`, converted to the first of them with `factors.factor`. `shown` is its key in JSON."""
    target = next(iter(units.values()))[0]

    def read(text: str) -> Decimal:
        match = _QUANTITY.fullmatch(text)
        if match is None or match[2] not in units or not Decimal(match[1]):
            raise ValueError(text)
        return _VALUE.multiply(Decimal(match[1]), factors.factor(*units[match[2]], target)).normalize(_VALUE)

    expected = f"a number above 0 and one of {', '.join(units)}, such as '{example}'"
    return Cell(read, expected, lambda value, text: {shown: plain(_SHOWN.plus(value)), "text": text}, "quantity", tuple(units))


def expansion() -> Cell:
    """Thermal expansion per kelvin; cells give it in millionths."""
    per_million = quantity(factors.EXPANSIONS, "per_K", "16.0 um/m/K")
    return Cell(
        lambda text: per_million.read(text) * Decimal("0.000001"), per_million.expected, per_million.show, "quantity", per_million.names
    )


def listed(cell: Cell) -> Cell:
    """One or more `cell` values separated by semicolons, without duplicates."""

    def read(text: str) -> tuple[Any, ...]:
        values = tuple(cell.read(part.strip()) for part in text.split(";"))
        if len(set(values)) != len(values):
            raise ValueError(text)
        return values

    def show(value: Any, text: str) -> Any:
        return [cell.show(one, part.strip()) for one, part in zip(value, text.split(";"), strict=True)]

    return Cell(read, f"a list set apart by ';', each once: {cell.expected}", show, "listed", of=cell)


CURRENCY = Cell(lambda text: _matched(_CURRENCY, text), "an ISO 4217 code, such as USD", _as_written)
COUNTRY = Cell(lambda text: _matched(_COUNTRY, text), "a country's two capital letters by ISO 3166-1, such as US", _as_written)
TEXT = Cell(_text, f"printable text of at most {_LONGEST} characters, without line breaks", _as_written)
DAY = Cell(_day, "a day as YYYY-MM-DD", _as_written, "day")
THREAD = Cell(normal_thread, "a thread such as '3/8-24 UNF' or 'M8 x 1.25'", lambda value, text: str(value), "thread")
LENGTH = length()
LENGTH_OR_0 = length(zero=True)
FORCE = quantity(factors.FORCES, "kN", "12.9 kN")
MASS = quantity(factors.MASSES, "kg", "120 g")
MASS_PER_LENGTH = quantity(factors.MASSES_PER_LENGTH, "kg_per_100m", "7.7 lb/100ft")
MODULUS = quantity(factors.MODULI, "GPa", "105 GPa")
AREA = quantity(factors.AREAS, "mm2", "11.4 mm2")
MINUTES = quantity(factors.TIMES, "min", "6 min")
EXPANSION = expansion()
PERCENT = decimal("a percentage from 0 to 100, such as 7.5", most=100)
MONEY = decimal("a price of 0 or more, such as 12.50")
QUANTITY = decimal("a quantity of 0 or more, such as 50")
TEMPERATURE = Cell(parse_temperature, "a temperature with its unit, such as '45 degC'", _as_written)
KELVINS = Cell(parse_temperature_difference, "a temperature difference with its unit, such as '3 K'", _as_written)
NEWTONS = Cell(parse_force, "a force with its unit, such as '300 N'", _as_written)
