"""Lengths as Germans write them: Zoll and Fuß, a decimal comma, a number after feet. 1 in = 25.4 mm exactly (NIST SP 811, appendix B)."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.errors import QuantityError
from pricing.units import imperial, in_decimal_feet, parse_length
from pricing.wording import localised
from service.wording import translator


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("27 Fuß 6 Zoll", "8382"),  # 330 in
        ("27 Fuss 6 Zoll", "8382"),
        ("27 FUSS 6 ZOLL", "8382"),
        ("27 Fuss 6", "8382"),
        ("27 ft 6", "8382"),
        ("27' 6", "8382"),
        ("27' 6\"", "8382"),
        ("27 Fuß 6 3/8", "8391.525"),  # 330.375 in
        ("27 Fuß 3/8", "8239.125"),  # 324.375 in
        ("27 Fuß 6,5", "8394.7"),  # 330.5 in
        ("11 Zoll", "279.4"),
        ("3/8 Zoll", "9.525"),
        ("3/8zoll", "9.525"),
        ("8,4 m", "8400"),
        ("8,4 Meter", "8400"),
        ("8,40 m", "8400"),
        ("9,568 m", "9568"),  # metres: nobody means nine thousand of them
        ("956,8 Zentimeter", "9568"),
        ("9568 Millimeter", "9568"),
    ],
)
def test_a_length_in_german_is_read(written: str, mm: str) -> None:
    assert parse_length(written) == Decimal(mm)


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("1,234 mm", "ambiguous_comma"), ("1,234 Zoll", "ambiguous_comma"), ("27 Fuß 12", "mixed_units"), ("27,5 Fuß 6", "mixed_units"), ("27 Fuß 6 8", "not_a_length"),
        ("6 Zoll 27", "not_a_length"), ("8 m 40", "not_a_length"), ("27 Zollstock", "not_a_length"), ("27", "bare_number"), ("11 16 Zoll", "lost_slash"),
    ],
)  # fmt: skip
def test_what_has_two_readings_or_none_stays_refused_and_says_so_in_german(written: str, code: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_length(written)
    assert refused.value.code == code
    german = translator("de")(refused.value.message) % refused.value.values
    assert german != refused.value.detail
    assert german.endswith(".")


def test_an_ambiguous_comma_is_refused_with_both_its_readings() -> None:
    with pytest.raises(QuantityError) as refused:
        parse_length("1,234 mm")
    assert translator("de")(refused.value.message) % refused.value.values == (
        "„1,234 mm“ lässt sich als 1.234 mm oder als 1234 mm lesen: Schreiben Sie eines von beiden, mit Dezimalpunkt oder ohne Komma."
    )


def test_what_a_german_paper_writes_is_read_as_the_same_length() -> None:
    for ticks in range(1, 1200, 7):  # 1/32 in
        mm = Decimal(ticks) / 32 * Decimal("25.4")
        assert parse_length(localised(imperial(mm), "de")) == mm


def test_feet_with_a_decimal_comma_are_noticed_as_with_a_point() -> None:
    assert in_decimal_feet("31,4 Fuß")
    assert not in_decimal_feet("31 Fuß 4")
