"""Threads of the demo catalogue against published values.

Sources: public UNF tables and FED-STD-H28/2B for inch threads; ISO 898-1 values, as quoted in engineering tables, for metric ones.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue, tensile_stress_area
from pricing.rows import Thread


@pytest.fixture(scope="module")
def demo() -> Catalogue:
    return load_catalogue(DEMO_FOLDER)


def thread_of(demo: Catalogue, designation: str) -> Thread:
    found = demo.thread(designation)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("designation", "square_inches"),
    [("1/4-28 UNF", "0.0364"), ("5/16-24 UNF", "0.0580"), ("3/8-24 UNF", "0.0878"), ("7/16-20 UNF", "0.1187")],
)
def test_unf_threads_have_the_published_tensile_stress_area(demo: Catalogue, designation: str, square_inches: str) -> None:
    """Public UNF tables print four decimals: within 1e-4 in²."""
    area = tensile_stress_area(thread_of(demo, designation)) / Decimal("645.16")
    assert abs(area - Decimal(square_inches)) <= Decimal("0.0001")


@pytest.mark.parametrize(("designation", "square_mm"), [("M6 x 1", "20.1"), ("M8 x 1.25", "36.6"), ("M10 x 1.5", "58.0")])
def test_metric_threads_have_the_published_tensile_stress_area(demo: Catalogue, designation: str, square_mm: str) -> None:
    """ISO 898-1 prints one decimal: within 0.05 mm²."""
    assert abs(tensile_stress_area(thread_of(demo, designation)) - Decimal(square_mm)) <= Decimal("0.05")


@pytest.mark.parametrize(
    ("designation", "inches"),
    [("1/4-28 UNF", "0.0714"), ("5/16-24 UNF", "0.0833"), ("3/8-24 UNF", "0.0833"), ("1/2-20 UNF", "0.1000"), ("5/8-18 UNF", "0.1111")],
)
def test_one_turn_of_a_turnbuckle_is_two_pitches(demo: Catalogue, designation: str, inches: str) -> None:
    """2/n inches a turn, printed to four decimals: within 5e-5 in."""
    turn = 2 * thread_of(demo, designation).pitch / Decimal("25.4")
    assert abs(turn - Decimal(inches)) <= Decimal("0.00005")


@pytest.mark.parametrize(("size", "pitch"), [("M6", "1"), ("M8", "1.25"), ("M10", "1.5"), ("M12", "1.75"), ("M16", "2")])
def test_metric_threads_are_of_the_coarse_series(demo: Catalogue, size: str, pitch: str) -> None:
    """ISO 261, coarse pitches (from memory)."""
    assert thread_of(demo, size).pitch == Decimal(pitch)
