"""Cells are read exactly as written; a units library (pint) is the second route for factors."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pricing.catalogue import cells
from pricing.catalogue.reading import read_sheet
from pricing.catalogue.schema import Column, Table

NUMBERS = st.decimals(min_value=0, max_value=10**6, places=4, allow_nan=False).map(lambda value: format(value, "f"))
PRINTABLE = st.text(st.characters(exclude_categories=("C", "Z")) | st.just(" "), min_size=1, max_size=40).map(str.strip).filter(bool)


@given(NUMBERS)
def test_a_decimal_comes_back_as_written(text: str) -> None:
    assert format(cells.MONEY.read(text), "f") == text
    assert cells.MONEY.show(cells.MONEY.read(text), text) == text


@given(st.integers(0, 400), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inches_in_fractions_are_exact(whole: int, top: int, bottom: int) -> None:
    if top < bottom:
        text = f"{whole} {top}/{bottom} in"
        assert Fraction(cells.LENGTH.read(text)) == (whole + Fraction(top, bottom)) * Fraction(254, 10)


@given(st.dates())
def test_a_day_comes_back_as_written(day: date) -> None:
    assert cells.DAY.read(day.isoformat()) == day


@given(st.lists(st.integers(1, 500), min_size=1, max_size=8, unique=True))
def test_a_list_keeps_its_order(sizes: list[int]) -> None:
    text = "; ".join(f"{size} mm" for size in sizes)
    assert cells.listed(cells.LENGTH).read(text) == tuple(map(Decimal, sizes))


@given(st.lists(PRINTABLE, min_size=1, max_size=5))
def test_any_printable_text_survives_a_round_trip_through_the_file(texts: list[str]) -> None:
    table = Table("notes", dict, (Column("text", cells.TEXT), Column("again", cells.TEXT)), key=("text",))
    with TemporaryDirectory() as folder:
        with (Path(folder) / "notes.csv").open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([["text", "again"], *([text, text] for text in texts)])
        sheet = read_sheet(Path(folder), table)
    assert sheet.faults == []
    assert sheet.values == {"text": texts, "again": texts}


# unit as a table writes it, pint's own expression for it (second route: pint parses this test's text, in floats), and the target
UNITS = [
    (cells.FORCE, "lbf", "lbf", "kN"), (cells.FORCE, "N", "N", "kN"), (cells.FORCE, "kgf", "kgf", "kN"), (cells.FORCE, "kN", "kN", "kN"),
    (cells.MASS, "g", "g", "kg"), (cells.MASS, "oz", "oz", "kg"), (cells.MASS, "lb", "lb", "kg"),
    (cells.MASS_PER_LENGTH, "kg/m", "kg/m", "kg/(100*m)"), (cells.MASS_PER_LENGTH, "g/m", "g/m", "kg/(100*m)"),
    (cells.MASS_PER_LENGTH, "lb/100ft", "lb/(100*ft)", "kg/(100*m)"), (cells.MASS_PER_LENGTH, "lb/ft", "lb/ft", "kg/(100*m)"),
    (cells.MODULUS, "MPa", "MPa", "GPa"), (cells.MODULUS, "N/mm2", "N/mm**2", "GPa"), (cells.MODULUS, "ksi", "1000*psi", "GPa"),
    (cells.AREA, "in2", "in**2", "mm**2"), (cells.EXPANSION, "um/m/K", "um/m/K", "1/K"),
    (cells.EXPANSION, "uin/in/degF", "microinch/inch/delta_degF", "1/K"),
    (cells.MINUTES, "s", "s", "min"), (cells.MINUTES, "h", "h", "min"),
]  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("cell", "unit", "expression", "target"), UNITS)
def test_factors_agree_with_the_units_library(
    registry: pint.UnitRegistry[float], cell: cells.Cell, unit: str, expression: str, target: str
) -> None:
    one = registry.parse_expression(expression) * 1
    wanted = one.to_base_units().magnitude / (registry.parse_expression(target) * 1).to_base_units().magnitude
    assert float(cell.read(f"12.5 {unit}")) == pytest.approx(12.5 * wanted, rel=1e-12)


def test_factors_are_exact_where_the_unit_is_defined_exactly() -> None:
    # NIST SP 811, appendix B: 1 lbf = 4.448 221 615 2605 N, 1 lb = 0.453 592 37 kg, 1 kgf = 9.806 65 N, 1 in2 = 645.16 mm2
    assert cells.FORCE.read("1000 lbf") == Decimal("4.4482216152605")
    assert cells.MASS.read("1 lb") == Decimal("0.45359237")
    assert cells.FORCE.read("1000 kgf") == Decimal("9.80665")
    assert cells.AREA.read("1 in2") == Decimal("645.16")


def test_a_quantity_is_shown_in_one_unit_beside_the_text_as_written() -> None:
    assert cells.FORCE.show(cells.FORCE.read("4700 lbf"), "4700 lbf") == {"kN": "20.9066", "text": "4700 lbf"}
    assert cells.LENGTH.show(cells.LENGTH.read("3/16 in"), "3/16 in") == {"mm": "4.7625", "text": "3/16 in"}
    assert cells.EXPANSION.show(cells.EXPANSION.read("16.0 um/m/K"), "16.0 um/m/K") == {"per_K": "0.000016", "text": "16.0 um/m/K"}
