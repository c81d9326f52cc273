"""Lengths in words against a units library, and round trips over every form in which the trade writes one length.

The words below are the trade's (mm, cm, m, in, ft, their marks and long names), each beside the library's name for the unit.
"""

from __future__ import annotations

import contextlib
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.errors import QuantityError
from pricing.units import (
    imperial,
    length,
    metric,
    parse_area,
    parse_force,
    parse_length,
    parse_length_exact,
    parse_temperature,
)
from tests.counts import some

WORDS = {
    "millimetre": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "centimetre": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "metre": ("m", "metre", "metres", "meter", "meters"),
    "inch": ("in", "in.", "inch", "inches", '"', "″", "”", "''"),
    "foot": ("ft", "ft.", "foot", "feet", "'", "′", "’"),
}
PAIRS = [(word, unit) for unit, words in WORDS.items() for word in words]


@cache
def ureg() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Fraction)


@cache
def in_floats() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def in_mm(number: Fraction, unit: str) -> Fraction:
    """The library's millimetres."""
    return Fraction((number * ureg()(unit)).to("millimetre").magnitude)


@pytest.mark.parametrize(("word", "unit"), PAIRS)
@settings(max_examples=15)
@given(st.integers(1, 99_999), st.integers(0, 3))
def test_every_word_for_a_unit_is_the_librarys_unit(word: str, unit: str, digits: int, places: int):
    written = f"{Decimal(digits).scaleb(-places):f}"
    assert parse_length_exact(f"{written} {word}") == in_mm(Fraction(written), unit)
    assert parse_length_exact(f"{written}{word}") == in_mm(Fraction(written), unit)
    assert length({"value": written, "unit": word}) == parse_length(f"{written} {word}")


@pytest.mark.parametrize(
    ("word", "unit"), [("MM", "millimetre"), ("Inches", "inch"), ("FT", "foot"), ("Metres", "metre"), ("Cm", "centimetre")]
)
def test_capitals_change_no_unit(word: str, unit: str):
    assert parse_length_exact(f"3 {word}") == in_mm(Fraction(3), unit)


@pytest.mark.parametrize("unit", ["N", "daN", "kN", "lbf", "kgf"])
def test_forces_are_the_librarys(unit: str):
    names = {"N": "newton", "daN": "decanewton", "kN": "kilonewton", "lbf": "force_pound", "kgf": "force_kilogram"}
    assert float(parse_force(f"7.25 {unit}")) == pytest.approx(
        float((Fraction("7.25") * ureg()(names[unit])).to("newton").magnitude), rel=1e-12
    )


@pytest.mark.parametrize(("unit", "name"), [("mm2", "millimetre**2"), ("in2", "inch**2"), ("in²", "inch**2")])
def test_areas_are_the_librarys(unit: str, name: str):
    assert Fraction(parse_area(f"0.25 {unit}")) == Fraction((Fraction("0.25") * ureg()(name)).to("millimetre**2").magnitude)


@given(st.integers(-40, 120))
def test_fahrenheit_is_the_librarys(degrees: int):
    found = in_floats().Quantity(degrees, "degF").to("degC").magnitude
    assert float(parse_temperature(f"{degrees} degF")) == pytest.approx(found, abs=1e-9)


VULGAR = {
    "1/4": "¼", "1/2": "½", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞", "1/3": "⅓", "2/3": "⅔",
}  # fmt: skip


@given(st.integers(0, 99), st.integers(0, 11), st.integers(0, 63), st.sampled_from((2, 4, 8, 16, 32, 64)))
def test_one_length_in_feet_and_inches_reads_the_same_in_every_form(feet: int, inches: int, top: int, bottom: int):
    part = Fraction(top % bottom, bottom)
    total = 12 * feet + inches + part
    if total == 0:
        return
    expected = total * Fraction(254, 10)
    decimal = f"{Decimal(part.numerator) / Decimal(part.denominator) + inches:f}"
    point = decimal.replace(".", ",") if len(decimal.partition(".")[2]) != 3 else decimal
    forms = [
        f"{feet} ft {decimal} in",
        f"{feet}' {decimal}\"",
        f"{feet} feet {point} inches",
        f"{feet}ft{decimal}in",
        f"{feet}′ {decimal}″",
    ]
    if part:
        small = f"{part.numerator}/{part.denominator}"
        mixed = f"{inches} {small}" if inches else small
        forms += [f"{feet} ft {mixed} in", f"{feet}' {mixed}\"", f"{12 * feet + inches} {small} in", f"{feet}'{mixed}''"]
        forms += [f"{feet}' {inches}-{small}\"", f"{feet} ft {inches}-{small} in"] if inches else []
        forms += [f"{feet} ft {inches}{VULGAR[small]} in", f"{feet} ft {inches} {VULGAR[small]} in"] if small in VULGAR and inches else []
        forms += [f"{feet} ft {VULGAR[small]} in"] if small in VULGAR and not inches else []
    assert {form: parse_length_exact(form) for form in forms} == dict.fromkeys(forms, expected)


@given(st.integers(1, 99_999_999))
def test_one_length_in_metric_reads_the_same_in_every_form(hundredths: int):
    """mm, cm and m with points, commas, and spaces between thousands."""
    mm = Decimal(hundredths) / 100
    whole, _, rest = f"{mm:.2f}".partition(".")
    grouped = f"{int(whole):,}".replace(",", " ")
    forms = [
        f"{mm:.2f} mm", f"{whole},{rest} mm", f"{grouped}.{rest} mm", f"{grouped},{rest} mm", f"{mm / 1000:.5f} m", f"{mm / 1000:.5f} m".replace(".", ","),
        f"{mm / 10:.4f} cm".replace(".", ","), f"{whole}.{rest}\u00a0mm", f"{grouped.replace(' ', chr(0x202F))},{rest} mm",
    ]  # fmt: skip
    assert {form: parse_length(form) for form in forms} == dict.fromkeys(forms, mm)


@given(st.integers(1, 40_000_000), st.sampled_from((16, 32)))
def test_a_length_written_for_people_reads_back_to_within_half_of_its_last_part(thousandths: int, parts: int):
    mm = Decimal(thousandths) / 1000
    written = imperial(mm, parts)
    if not written.startswith("0 in"):
        assert abs(parse_length_exact(written) - Fraction(mm)) <= Fraction(254, 20 * parts)
    if mm >= Decimal("0.05"):
        assert abs(parse_length_exact(metric(mm)) - Fraction(mm)) <= Fraction(1, 20)


@pytest.mark.parametrize(
    ("mm", "written"),  # 1 ft = 304.8 mm: 103 ft = 31394.4; 1/32 in = 0.79375 mm
    [
        ("31400.0", "103 ft 0 7/32 in"),
        ("31394.4", "103 ft 0 in"),
        ("304.8", "1 ft 0 in"),
        ("304.5", "1 ft 0 in"),
        ("304.0", "11 31/32 in"),
        ("0", "0 in"),
    ],
)
def test_feet_always_carry_inches(mm: str, written: str):
    assert imperial(Decimal(mm)) == written


@given(st.integers(0, 40 * 12 * 32))
def test_an_exact_thirty_second_reads_back_as_itself(ticks: int):
    mm = Decimal(ticks) * Decimal("25.4") / 32
    assert parse_length(imperial(mm), True) == mm


REFUSED = [
    "31", "12.5", "1/2", "", " ", "in", "NaN mm", "inf mm", "infinity in", "-3 mm", "−3 mm", "+3 in", "0 mm", "0 in", "1e400 mm", "1e3 mm", "11 16 in",
    "9,568 mm", "31,125 in", "1,234 ft", "1,234 cm", "9.568,2 mm", "9,568.2 mm", "1,2,3 mm", "1.2.3 mm", "3 furlong", "3 km", "3 yd", "3 M m", "1/0 in",
    "5/4/3 in", "3 3/2 in", "31 ft 4 8", "4 in 3 ft", "3 ft 12 in", "3.5 ft 2 in", "3 mm 2 mm", "3 ft 2 ft", "3 ft 20 mm", "9**9**8 mm", "0x10 mm", "1_000 mm",
    "١٢ mm", "１２ mm", "3 mm;", "3 ft-in", "10 mm\x00", "½", "9 568", "3 mm\n4 in", "--3 mm", "3 in in", ". mm", ",5 mm", "5, mm", "3/ in", "/3 in",
]  # fmt: skip


@pytest.mark.parametrize("text", REFUSED)
def test_what_has_no_reading_or_two_is_refused(text: str):
    with pytest.raises(QuantityError):
        parse_length(text)


@pytest.mark.parametrize(("text", "both"), [("9,568 mm", ("9.568", "9568")), ("31,125 in", ("31.125", "31125"))])
def test_a_comma_before_three_digits_is_refused_with_both_readings(text: str, both: tuple[str, str]):
    with pytest.raises(QuantityError) as refused:
        parse_length(text)
    assert all(reading in str(refused.value) for reading in both)


def test_three_decimals_of_a_metre_after_a_comma_are_decimals():
    assert parse_length("9,568 m") == Decimal(9568)


def test_zero_is_a_reading_of_an_exposed_thread_only():
    assert parse_length("0 mm", True) == 0
    assert length("0 in", allow_zero=True) == 0


@settings(max_examples=some(500))
@given(st.text(alphabet="0123456789 .,/'\"-mcftin½″′eE+", max_size=20))
def test_no_text_raises_anything_but_a_refusal_and_what_is_read_is_positive(text: str):
    read = Fraction(1)
    with contextlib.suppress(QuantityError):
        read = parse_length_exact(text)
    assert read > 0


@given(st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.lists(st.text()), st.dictionaries(st.text(), st.text())))
def test_no_value_but_text_is_read(value: object):
    with pytest.raises(QuantityError):
        length(value)
