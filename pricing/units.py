"""Parses lengths, temperatures, forces and areas from text into millimetres, degrees Celsius, newtons and square millimetres.

Factors: 1 in = 25.4 mm exactly (NIST SP 811, appendix B), 1 lbf = 4.4482216152605 N exactly (same), 1 kgf = 9.80665 N exactly (same); the
tests compare every factor with a units library. The grammar is deliberately small and closed: text with more than one possible reading is
refused, and the message names both.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import lru_cache
from math import gcd

from pricing.errors import QuantityError
from pricing.unitless import completions

INCH = Fraction(254, 10)
MM_PER_UNIT: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": INCH,
    "ft": 12 * INCH,
}
_SPELLINGS: dict[str, tuple[str, ...]] = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters", "millimetern"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters", "zentimeter", "zentimetern"),
    "m": ("m", "metre", "metres", "meter", "meters", "metern"),
    "in": ("in", "in.", "inch", "inches", "zoll", '"', "″", "”", "''", "′′", "’’"),
    "ft": ("ft", "ft.", "foot", "feet", "fuß", "fuss", "'", "′", "’"),
}
UNIT_OF: dict[str, str] = {word: unit for unit, words in _SPELLINGS.items() for word in words}
_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f\t"), " ")
_LONGEST = 60
_WORD = "|".join(sorted(map(re.escape, UNIT_OF), key=len, reverse=True))
_PART = re.compile(rf"\s*([0-9][0-9 .,/\-]*?)\s*({_WORD})(?![A-Za-zÄÖÜäöüß.])\s*", re.IGNORECASE)
_WHOLE = re.compile(r"[0-9]+")
_DECIMAL = re.compile(r"([0-9]+)[.,]([0-9]+)")
_FRACTION = re.compile(r"(?:([0-9]+)(?: *- *| +))?([0-9]+) ?/ ?([0-9]+)")
_GROUPED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?")
_INCHES = re.compile(r"[0-9]+(?: +[0-9]+ ?/ ?[0-9]+)?|[0-9]+ ?/ ?[0-9]+|[0-9]+[.,][0-9]+")  # without a unit, after feet
_COMMA = (
    "'%(body)s %(unit)s' can be read as %(point)s %(unit)s or as %(whole)s %(unit)s: write it with a decimal point, or without the comma"
)
_SEPARATORS = "'%(body)s' has more than one separator: write it with a single decimal point"
_SLASH = "'%(body)s %(unit)s' may have lost a slash or a point (%(slash)s or %(point)s): write it again"
_NUMBER = "'%(body)s' is not a number that can be read; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_NOUGHT = "a fraction cannot have 0 below the slash"
_IMPROPER = "'%(body)s' has a fraction of one or more after a whole number: write it again"
_TEXT = "a length is text with a unit; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_OBJECT = "a length is text with a unit, or {\"value\": \"9568\", \"unit\": \"mm\"}; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_TOO_LONG = "a length has at most 60 characters; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_SIGN = "a length has no plus or minus sign before it: leave the sign out"
_ZERO = "a length must be greater than zero; leave it out if it was not measured"
_BARE = "'%(text)s' has no unit: write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_BARE_OF = (
    _BARE,
    "'%(text)s' has no unit: write '%(first)s', if that is meant",
    "'%(text)s' has no unit: write '%(first)s' or '%(second)s', whichever is meant",
    "'%(text)s' has no unit: write '%(first)s', '%(second)s' or '%(third)s', whichever is meant",
    "'%(text)s' has no unit: write '%(first)s', '%(second)s', '%(third)s' or '%(fourth)s', whichever is meant",
)
_OTHER = (
    "'%(text)s' cannot be read as a length in mm, cm, m, in or ft; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
)
_UNITS = "only feet and inches go together, in that order; write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"
_FEET = "with feet and inches, the feet are whole and the inches less than 12: write it again"


def _fail(code: str, text: object, message: str, /, **values: str) -> QuantityError:
    return QuantityError(code, str(text)[:_LONGEST], message, values)


def _number(body: str, unit: str, text: str) -> Fraction:
    """Parse the number before a unit. Raises QuantityError for a number that can be read in two ways."""
    body = body.strip()
    if _WHOLE.fullmatch(body):
        return Fraction(int(body))
    if match := _FRACTION.fullmatch(body):
        return _fraction(match, text)
    if unit in ("mm", "cm", "m") and _GROUPED.fullmatch(body):
        body = body.replace(" ", "")
        if _WHOLE.fullmatch(body):
            return Fraction(int(body))
    if match := _DECIMAL.fullmatch(body):
        if "," in body and len(match[2]) == 3 and unit != "m":
            point, whole = f"{match[1]}.{match[2]}", f"{match[1]}{match[2]}"
            raise _fail("ambiguous_comma", text, _COMMA, body=body, unit=unit, point=point, whole=whole)
        return Fraction(f"{match[1]}.{match[2]}")
    if ("," in body and "." in body) or body.count(",") > 1 or body.count(".") > 1:
        raise _fail("mixed_separators", text, _SEPARATORS, body=body)
    if re.fullmatch(r"[0-9]+( +[0-9]+)+", body):
        whole, _, rest = body.rpartition(" ")
        slash, point = f"{whole.strip()}/{rest}", f"{whole.strip()}.{rest}"
        raise _fail("lost_slash", text, _SLASH, body=body, unit=unit, slash=slash, point=point)
    raise _fail("not_a_length", text, _NUMBER, body=body)


def _fraction(match: re.Match[str], text: str) -> Fraction:
    whole, top, bottom = match[1], int(match[2]), int(match[3])
    if bottom == 0:
        raise _fail("not_a_length", text, _NOUGHT)
    if whole is not None and top >= bottom:
        raise _fail("improper_fraction", text, _IMPROPER, body=match[0])
    return Fraction(int(whole or 0)) + Fraction(top, bottom)


def _clean(text: str) -> str:
    """Spell Unicode fractions with a slash, separated from the whole number, and normalise dashes and the fraction slash."""
    for sign, words in _VULGAR.items():
        if sign in text:
            text = re.sub(rf"[ \-]*{sign}", " " + words, text)
    return text.replace("\u2044", "/").replace("\u2013", "-").replace("\u2011", "-").strip()


def parse_length_exact(text: str, *, allow_zero: bool = False) -> Fraction:
    """Parse a length; returns millimetres as an exact rational.

    `allow_zero` allows 0 (an exposed thread may be `0 mm`). Raises QuantityError (a ValueError) with a code and a hint on what to write.
    """
    if not isinstance(text, str):
        raise _fail("not_text", text, _TEXT)
    if len(text) > _LONGEST:
        raise _fail("too_long", text, _TOO_LONG)
    plain = _clean(text.translate(_SPACES))
    if plain[:1] in ("-", "−", "+", "\u2013"):
        raise _fail("not_positive", text, _SIGN)
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(plain):
        match = _PART.match(plain, at)
        if match is None and [unit for _, unit in parts] == ["ft"] and _INCHES.fullmatch(plain, at):
            parts.append((_number(plain[at:], "in", text), "in"))  # a number after feet is of inches: 27 ft 6
            break
        if match is None:
            raise _unreadable(text, plain)
        unit = UNIT_OF[match[2].lower()]
        parts.append((_number(match[1], unit, text), unit))
        at = match.end()
    if not parts:
        raise _unreadable(text, plain)
    total = _joined(parts, text)
    if total == 0 and not allow_zero:
        raise _fail("not_positive", text, _ZERO)
    return total


def in_decimal_feet(text: str) -> bool:
    """Whether a valid length is in feet with a decimal fraction, such as `31.4 ft`: a rule in feet is divided into inches."""
    if "." not in text and "," not in text:
        return False
    match = _PART.fullmatch(_clean(text.translate(_SPACES)))
    return match is not None and UNIT_OF[match[2].lower()] == "ft" and _DECIMAL.fullmatch(match[1].strip()) is not None


def _unreadable(text: str, plain: str) -> QuantityError:
    if re.fullmatch(r"[0-9][0-9 .,/\-]*", plain):
        readings = completed(text)
        named = dict(zip(("first", "second", "third", "fourth"), readings, strict=False))
        return _fail("bare_number", text, _BARE_OF[len(readings)], text=text, **named)
    return _fail("not_a_length", text, _OTHER, text=text)


def completed(text: str) -> tuple[str, ...]:
    """The lengths, each as readable text with its unit, that a number without one may stand for; empty for any other text."""
    return tuple(each for each in completions(_clean(text.translate(_SPACES))) if _reads(each))


def is_imperial(text: str) -> bool:
    """Whether a readable length was written in feet or inches."""
    match = _PART.match(_clean(text.translate(_SPACES)))
    return match is not None and UNIT_OF[match[2].lower()] in ("ft", "in")


def _reads(text: str) -> bool:
    try:
        parse_length_exact(text, allow_zero=True)
    except QuantityError:
        return False
    return True


def _joined(parts: list[tuple[Fraction, str]], text: str) -> Fraction:
    if len(parts) == 1:
        number, unit = parts[0]
        return number * MM_PER_UNIT[unit]
    if [unit for _, unit in parts] != ["ft", "in"]:
        raise _fail("mixed_units", text, _UNITS)
    (feet, _), (inches, _) = parts
    if feet.denominator != 1 or inches >= 12:
        raise _fail("mixed_units", text, _FEET)
    return feet * MM_PER_UNIT["ft"] + inches * INCH


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


@lru_cache(maxsize=16384)
def parse_length(text: str, allow_zero: bool = False) -> Decimal:
    """Parse a length in millimetres, exact for every decimal and every binary fraction of an inch.

    Raises QuantityError. Results are cached, since the same sizes come up again and again.
    """
    return _decimal(parse_length_exact(text, allow_zero=allow_zero))


def length(value: object, *, allow_zero: bool = False) -> Decimal:
    """Millimetres from text, or from an object such as `{"value": "9568", "unit": "mm"}`, as sent by JSON clients."""
    if isinstance(value, str):
        return parse_length(value, allow_zero)
    if isinstance(value, Mapping) and set(value) == {"value", "unit"} and all(isinstance(v, str) for v in value.values()):
        return parse_length(f"{value['value']} {value['unit']}", allow_zero)
    raise _fail("not_text", value, _OBJECT)


_NO_TEMPERATURE = "'%(text)s' is not a temperature: write '18 degC' or '64 degF'"
_OUTSIDE = "'%(text)s' is outside -60 to 80 degC: check the number and its unit"
_NO_DIFFERENCE = "'%(text)s' is not a temperature difference: units are %(units)s"
_NO_FORCE = "'%(text)s' is not a force: units are %(units)s"
_NO_AREA = "'%(text)s' is not an area: units are %(units)s"
_SIGNED = r"([+\-−]?[0-9]+(?:[.,][0-9]+)?)\s*"
_TEMPERATURE = re.compile(_SIGNED + r"(degC|°C|℃|C|degF|°F|℉|F)")
_FORCE = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(N|daN|kN|lbf|kgf)")
_AREA = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(mm2|mm²|in2|in²)")
NEWTONS = {"N": Decimal(1), "daN": Decimal(10), "kN": Decimal(1000), "lbf": Decimal("4.4482216152605"), "kgf": Decimal("9.80665")}
MM2 = {"mm2": Decimal(1), "mm²": Decimal(1), "in2": Decimal("645.16"), "in²": Decimal("645.16")}


@lru_cache(maxsize=1024)
def parse_temperature(text: str) -> Decimal:
    """Degrees Celsius from `18 degC`, `64.5 °F`. Raises QuantityError."""
    match = _TEMPERATURE.fullmatch(text.translate(_SPACES).strip()) if len(text) <= _LONGEST else None
    if match is None:
        raise _fail("not_a_temperature", text, _NO_TEMPERATURE, text=text[:_LONGEST])
    degrees = Decimal(match[1].replace(",", ".").replace("−", "-"))
    if match[2][-1] in "F℉":
        degrees = (degrees - 32) * 5 / 9
    if not -60 <= degrees <= 80:
        raise _fail("not_a_temperature", text, _OUTSIDE, text=text)
    return degrees


SENTENCES = (
    _COMMA, _SEPARATORS, _SLASH, _NUMBER, _NOUGHT, _IMPROPER, _TEXT, _OBJECT, _TOO_LONG, _SIGN, _ZERO, *_BARE_OF[::-1], _OTHER, _UNITS, _FEET,
    _NO_TEMPERATURE, _OUTSIDE, _NO_DIFFERENCE, _NO_FORCE, _NO_AREA,
)  # fmt: skip
"""The templates of all messages of a QuantityError."""
KELVINS = {
    "K": Decimal(1),
    **dict.fromkeys(("degC", "°C", "℃", "C"), Decimal(1)),
    **dict.fromkeys(("degF", "°F", "℉", "F"), Decimal(5) / 9),
}
_DIFFERENCE = re.compile(rf"([0-9]{{1,6}}(?:[.,][0-9]{{1,6}})?)\s*({'|'.join(KELVINS)})", re.ASCII)


@lru_cache(maxsize=1024)
def parse_temperature_difference(text: str) -> Decimal:
    """Kelvins from `3 K`, `5 degF`. Raises QuantityError."""
    return _scaled(_DIFFERENCE, KELVINS, text, "not_a_temperature", _NO_DIFFERENCE)


def _scaled(pattern: re.Pattern[str], factors: dict[str, Decimal], text: str, code: str, message: str) -> Decimal:
    match = pattern.fullmatch(text.translate(_SPACES).strip()) if len(text) <= _LONGEST else None
    value = Decimal(match[1].replace(",", ".")) * factors[match[2]] if match else Decimal(0)
    if match is None or value == 0:
        raise _fail(code, text, message, text=text[:_LONGEST], units=", ".join(factors))
    return value


@lru_cache(maxsize=1024)
def parse_force(text: str) -> Decimal:
    """Newtons from `50 N`, `11 lbf`, `5 kgf`, `1.2 kN`. Raises QuantityError."""
    return _scaled(_FORCE, NEWTONS, text, "not_a_force", _NO_FORCE)


@lru_cache(maxsize=1024)
def parse_area(text: str) -> Decimal:
    """Square millimetres from `2.6 mm2` or `0.004 in2`. Raises QuantityError."""
    return _scaled(_AREA, MM2, text, "not_an_area", _NO_AREA)


_TENTH = Decimal("0.1")
_INCH = Decimal("25.4")
_NO_TENTHS = Decimal("0.0")


def tenth(number: Decimal) -> Decimal:
    """Millimetres or degrees rounded half up to 0.1, never a negative zero."""
    return number.quantize(_TENTH, ROUND_HALF_UP) or _NO_TENTHS


@lru_cache(maxsize=16384)
def imperial(mm: Decimal, parts: int = 32) -> str:
    """`31 ft 4 5/16 in`: to the nearest 1/`parts` inch (default 32), half up; with feet from 12 in upward.

    After feet, inches are always given (`103 ft 0 7/32 in`), so that no number seems to be missing.
    """
    ticks = int((mm * parts / _INCH).to_integral_value(ROUND_HALF_UP))
    sign, ticks = ("-", -ticks) if ticks < 0 else ("", ticks)
    whole, rest = divmod(ticks, parts)
    feet, inches = divmod(whole, 12)
    shared = gcd(rest, parts)
    fraction = f"{rest // shared}/{parts // shared} " if rest else ""
    whole_inches = f"{inches} " if inches or feet or not fraction else ""
    return f"{sign}{f'{feet} ft ' if feet else ''}{whole_inches}{fraction}in"


def nominal(mm: Decimal) -> str:
    """A nominal size as named in the trade: `3/8 in` for 9.525 mm, `8 mm` for 8 mm."""
    ticks = mm * 64 / Decimal("25.4")
    if mm != mm.to_integral_value() and ticks == ticks.to_integral_value():
        return imperial(mm, 64)
    return f"{mm.normalize():f} mm"


def metric(mm: Decimal) -> str:
    """`9558.4 mm`, half up to 0.1 mm."""
    return f"{tenth(mm)} mm"
