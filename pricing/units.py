"""Lengths, temperatures, forces and areas in words: text in, millimetres, degrees Celsius, newtons and square millimetres out.

Factors: 1 in = 25.4 mm exactly (NIST SP 811, appendix B), 1 lbf = 4.4482216152605 N exactly (same), 1 kgf = 9.80665 N exactly
(same); the tests hold every factor against a units library. The grammar is small and closed on purpose: what a person wrote
must have one reading, or it is refused with both.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import lru_cache

from pricing.errors import QuantityError

INCH = Fraction(254, 10)
MM_PER_UNIT: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": INCH,
    "ft": 12 * INCH,
}
_SPELLINGS: dict[str, tuple[str, ...]] = {
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "in": ("in", "in.", "inch", "inches", '"', "″", "”", "''", "′′", "’’"),
    "ft": ("ft", "ft.", "foot", "feet", "'", "′", "’"),
}
UNIT_OF: dict[str, str] = {word: unit for unit, words in _SPELLINGS.items() for word in words}
_VULGAR = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f\t"), " ")
_LONGEST = 60
_WORD = "|".join(sorted(map(re.escape, UNIT_OF), key=len, reverse=True))
_PART = re.compile(rf"\s*([0-9][0-9 .,/\-]*?)\s*({_WORD})(?![A-Za-z.])\s*", re.IGNORECASE)
_WHOLE = re.compile(r"[0-9]+")
_DECIMAL = re.compile(r"([0-9]+)[.,]([0-9]+)")
_FRACTION = re.compile(r"(?:([0-9]+)(?: *- *| +))?([0-9]+) ?/ ?([0-9]+)")
_GROUPED = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?")
_EXAMPLES = "write for example '31 ft 4 11/16 in', '6 3/8 in', '9568 mm' or '9.568 m'"


def _fail(code: str, text: object, why: str) -> QuantityError:
    return QuantityError(code, str(text)[:_LONGEST], why)


def _number(body: str, unit: str, text: str) -> Fraction:
    """One number as written before one unit; refuses what has two readings."""
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
            raise _fail(
                "ambiguous_comma", text,
                f"'{body} {unit}' can be read as {match[1]}.{match[2]} {unit} or as {match[1]}{match[2]} {unit}: "
                "write it with a decimal point, or without the comma",
            )  # fmt: skip
        return Fraction(f"{match[1]}.{match[2]}")
    if ("," in body and "." in body) or body.count(",") > 1 or body.count(".") > 1:
        raise _fail("mixed_separators", text, f"'{body}' has more than one separator: write it with a single decimal point")
    if re.fullmatch(r"[0-9]+( +[0-9]+)+", body):
        whole, _, rest = body.rpartition(" ")
        raise _fail(
            "lost_slash", text,
            f"'{body} {unit}' may have lost a slash or a point ({whole.strip()}/{rest} or {whole.strip()}.{rest}): write it again",
        )  # fmt: skip
    raise _fail("not_a_length", text, f"'{body}' is not a number that can be read; {_EXAMPLES}")


def _fraction(match: re.Match[str], text: str) -> Fraction:
    whole, top, bottom = match[1], int(match[2]), int(match[3])
    if bottom == 0:
        raise _fail("not_a_length", text, "a fraction cannot have 0 below the slash")
    if whole is not None and top >= bottom:
        raise _fail("improper_fraction", text, f"'{match[0]}' has a fraction of one or more after a whole number: write it again")
    return Fraction(int(whole or 0)) + Fraction(top, bottom)


def _clean(text: str) -> str:
    """Spaces of every width made plain, unicode fractions spelled with a slash and set apart from the whole number."""
    for sign, words in _VULGAR.items():
        if sign in text:
            text = re.sub(rf"[ \-]*{sign}", " " + words, text)
    return text.replace("\u2044", "/").replace("\u2013", "-").replace("\u2011", "-").strip()


def parse_length_exact(text: str, *, allow_zero: bool = False) -> Fraction:
    """Read a length in words; returns millimetres as an exact rational.

    `allow_zero` admits 0 (an exposed thread may be `0 mm`). Raises QuantityError (a ValueError) with a code and what to write.
    """
    if not isinstance(text, str):
        raise _fail("not_text", text, f"a length is text with a unit; {_EXAMPLES}")
    if len(text) > _LONGEST:
        raise _fail("too_long", text, f"a length has at most {_LONGEST} characters; {_EXAMPLES}")
    plain = _clean(text.translate(_SPACES))
    if plain[:1] in ("-", "−", "+", "\u2013"):
        raise _fail("not_positive", text, "a length is greater than zero and bears no sign")
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(plain):
        match = _PART.match(plain, at)
        if match is None:
            raise _unreadable(text, plain)
        unit = UNIT_OF[match[2].lower()]
        parts.append((_number(match[1], unit, text), unit))
        at = match.end()
    if not parts:
        raise _unreadable(text, plain)
    total = _joined(parts, text)
    if total == 0 and not allow_zero:
        raise _fail("not_positive", text, "a length must be greater than zero; leave it out if it was not measured")
    return total


def _unreadable(text: str, plain: str) -> QuantityError:
    if re.fullmatch(r"[0-9][0-9 .,/\-]*", plain):
        return _fail("bare_number", text, f"'{text}' has no unit: {_EXAMPLES}")
    return _fail("not_a_length", text, f"'{text}' cannot be read as a length in mm, cm, m, in or ft; {_EXAMPLES}")


def _joined(parts: list[tuple[Fraction, str]], text: str) -> Fraction:
    if len(parts) == 1:
        number, unit = parts[0]
        return number * MM_PER_UNIT[unit]
    if [unit for _, unit in parts] != ["ft", "in"]:
        raise _fail("mixed_units", text, f"only feet and inches go together, in that order; {_EXAMPLES}")
    (feet, _), (inches, _) = parts
    if feet.denominator != 1 or inches >= 12:
        raise _fail("mixed_units", text, "with feet and inches, the feet are whole and the inches less than 12: write it again")
    return feet * MM_PER_UNIT["ft"] + inches * INCH


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


@lru_cache(maxsize=16384)
def parse_length(text: str, allow_zero: bool = False) -> Decimal:
    """Millimetres of a length in words, exact for every decimal and every binary fraction of an inch.

    Raises QuantityError. Results are remembered, since the same sizes are written over and over.
    """
    return _decimal(parse_length_exact(text, allow_zero=allow_zero))


def length(value: object, *, allow_zero: bool = False) -> Decimal:
    """Millimetres from text, or from an object `{"value": "9568", "unit": "mm"}` as JSON clients send it."""
    if isinstance(value, str):
        return parse_length(value, allow_zero)
    if isinstance(value, Mapping) and set(value) == {"value", "unit"} and all(isinstance(v, str) for v in value.values()):
        return parse_length(f"{value['value']} {value['unit']}", allow_zero)
    raise _fail("not_text", value, f'a length is text with a unit, or {{"value": "9568", "unit": "mm"}}; {_EXAMPLES}')


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
        raise _fail("not_a_temperature", text, f"'{text[:_LONGEST]}' is not a temperature: write '18 degC' or '64 degF'")
    degrees = Decimal(match[1].replace(",", ".").replace("−", "-"))
    if match[2][-1] in "F℉":
        degrees = (degrees - 32) * 5 / 9
    if not -60 <= degrees <= 80:
        raise _fail("not_a_temperature", text, f"'{text}' is outside -60 to 80 degC: check the number and its unit")
    return degrees


def _scaled(pattern: re.Pattern[str], factors: dict[str, Decimal], text: str, what: str) -> Decimal:
    match = pattern.fullmatch(text.translate(_SPACES).strip()) if len(text) <= _LONGEST else None
    value = Decimal(match[1].replace(",", ".")) * factors[match[2]] if match else Decimal(0)
    if match is None or value == 0:
        raise _fail(f"not_{what.split()[0]}_{what.split()[1]}", text, f"'{text[:_LONGEST]}' is not {what}: units are {', '.join(factors)}")
    return value


@lru_cache(maxsize=1024)
def parse_force(text: str) -> Decimal:
    """Newtons from `50 N`, `11 lbf`, `5 kgf`, `1.2 kN`. Raises QuantityError."""
    return _scaled(_FORCE, NEWTONS, text, "a force")


@lru_cache(maxsize=1024)
def parse_area(text: str) -> Decimal:
    """Square millimetres from `2.6 mm2` or `0.004 in2`. Raises QuantityError."""
    return _scaled(_AREA, MM2, text, "an area")


_TENTH = Decimal("0.1")


def tenth(number: Decimal) -> Decimal:
    """Millimetres or degrees rounded half up to 0.1."""
    return number.quantize(_TENTH, ROUND_HALF_UP)


@lru_cache(maxsize=16384)
def imperial(mm: Decimal, parts: int = 32) -> str:
    """`31 ft 4 5/16 in`: to the nearest 1/`parts` inch (16 or 32), half up; feet from 12 in on."""
    ticks = int((mm * parts / Decimal("25.4")).to_integral_value(ROUND_HALF_UP))
    sign, ticks = ("-", -ticks) if ticks < 0 else ("", ticks)
    whole, rest = divmod(ticks, parts)
    feet, inches = divmod(whole, 12)
    words = [f"{feet} ft"] if feet else []
    fraction = Fraction(rest, parts)
    if fraction:
        words.append(f"{inches} {fraction} in" if inches else f"{fraction} in")
    elif inches or not feet:
        words.append(f"{inches} in")
    return sign + " ".join(words)


def nominal(mm: Decimal) -> str:
    """A nominal size as the trade names it: `3/8 in` for 9.525 mm, `8 mm` for 8 mm."""
    ticks = mm * 64 / Decimal("25.4")
    if mm != mm.to_integral_value() and ticks == ticks.to_integral_value():
        return imperial(mm, 64)
    return f"{mm.normalize():f} mm"


def spoken(mm: Decimal) -> str:
    """A length in a sentence, for a shop of either kind: `28.6 mm (1 1/8 in)`, to 0.1 mm and 1/32 in; without inches where they round to none."""
    inches = imperial(mm)
    return metric(mm) if inches == "0 in" and mm else f"{metric(mm)} ({inches})"


def metric(mm: Decimal) -> str:
    """`9558.4 mm`, half up to 0.1 mm."""
    return f"{tenth(mm)} mm"
