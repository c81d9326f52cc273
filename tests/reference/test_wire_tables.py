"""Wire tables of the demo catalogue against published values.

Sources: FAA AC 43.13-1B (1998) table 7-3 for MIL-W-83420 composition B cable; Feyrer, Wire Ropes, table 1.9 for K; geometry for the
metallic share; API Spec 9A table C.1 for the formula itself.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.data.recipes import wires as recipe
from pricing.rows import Wire

LBF_TO_KN = Decimal("0.0044482216152605")  # NIST SP 811, appendix B, exact
PI = Decimal("3.141592653589793")


@pytest.fixture(scope="module")
def demo() -> Catalogue:
    return load_catalogue(DEMO_FOLDER)


def inches(text: str) -> Decimal:
    top, bottom = text.split("/")
    return Decimal(top) / Decimal(bottom) * Decimal("25.4")


def wire_of(demo: Catalogue, construction: str, material: str, diameter: Decimal) -> Wire:
    found = demo.wire(construction, material, diameter)
    assert found is not None
    return found


STRENGTHS = [
    ("7x7", "1/16", 480), ("7x7", "3/32", 920),
    ("7x19", "1/8", 1760), ("7x19", "5/32", 2400), ("7x19", "3/16", 3700), ("7x19", "7/32", 5000),
    ("7x19", "1/4", 6400), ("7x19", "5/16", 9000),
]  # fmt: skip


@pytest.mark.parametrize(("construction", "size", "lbf"), STRENGTHS)
def test_composition_b_has_the_published_strength(demo: Catalogue, construction: str, size: str, lbf: int) -> None:
    """AC 43.13-1B table 7-3, least breaking strength; exact."""
    assert wire_of(demo, construction, "composition_b", inches(size)).break_kn == lbf * LBF_TO_KN


PLUS = {"1/16": 10, "3/32": 12, "1/8": 14, "5/32": 16, "3/16": 18, "7/32": 18, "1/4": 18, "9/32": 20, "5/16": 22, "3/8": 26}


@pytest.mark.parametrize(("size", "thousandths"), PLUS.items())
def test_inch_wires_have_the_published_plus_tolerance_and_no_minus(demo: Catalogue, size: str, thousandths: int) -> None:
    """AC 43.13-1B table 7-3, tolerance on the diameter, plus only; exact. Every row of that size, both materials."""
    rows = [row for row in demo.tables.wires if row.diameter == inches(size)]
    assert len(rows) >= 4
    assert {(row.plus, row.minus) for row in rows} == {(thousandths * Decimal("0.0254"), Decimal(0))}
    assert all("table 7-3" in row.source for row in rows)


def test_a_caliper_reading_below_5_mm_excludes_5_mm_but_above_it_not_3_16(demo: Catalogue) -> None:
    """3/16 in with .018 in reaches 5.22 mm (table 7-3)."""
    rope = wire_of(demo, "7x19", "composition_b", inches("3/16"))
    assert round(rope.diameter + rope.plus, 2) == Decimal("5.22")
    five = wire_of(demo, "7x19", "316", Decimal(5))
    assert five.diameter - five.minus == 5


@pytest.mark.parametrize(("construction", "share"), [("1x19", Fraction(19, 25)), ("7x7", Fraction(49, 81)), ("7x19", Fraction(133, 225))])
def test_the_metallic_area_is_the_geometric_share_of_the_circle(demo: Catalogue, construction: str, share: Fraction) -> None:
    """Equal wires side by side: 19 in a circle 5 across, 49 in one 9 across, 133 in one 15 across. To the table's 0.01 mm²."""
    rows = [row for row in demo.tables.wires if row.construction == construction]
    assert len(rows) >= 23
    for row in rows:
        circle = PI / 4 * row.diameter**2
        assert abs(row.metallic_mm2 - circle * share.numerator / share.denominator) <= Decimal("0.005001")


@pytest.mark.parametrize(("construction", "factor"), [("7x7", "0.388"), ("7x19", "0.362")])
def test_316_rope_breaks_by_the_published_factor_on_the_grade_its_source_names(demo: Catalogue, construction: str, factor: str) -> None:
    """F = d²·Rr·K/1000 kN, K of Feyrer table 1.9; rounded down to 10 lbf or 0.1 kN in the table."""
    for row in demo.wires_of(construction, "316"):
        assert f"factor K {factor}, Feyrer, Wire Ropes, table 1.9, on an invented 1570 N/mm2" in row.source
        published = row.diameter**2 * 1570 * Decimal(factor) / 1000
        step = 10 * LBF_TO_KN if row.size.endswith("in") else Decimal("0.1")
        assert published - step < row.break_kn <= published


def test_the_formula_gives_the_published_example() -> None:
    """API Spec 9A table C.1, 6x7 fibre core: d 8 mm, Rr 1770, K 0.332 -> 37.6 kN, printed to 0.1. The recipe's own arithmetic."""
    newtons = recipe.rope_newtons(Fraction(332, 1000), 1770, Fraction(8))
    assert abs(newtons / 1000 - Fraction("37.6")) <= Fraction("0.05")


@pytest.mark.parametrize(("size", "kn", "kg"), [("4", "10.2", "6.14"), ("5", "15.9", "9.60"), ("6", "22.9", "13.8"), ("8", "40.7", "24.6")])
def test_galvanised_rope_has_the_strength_and_weight_of_the_standard(demo: Catalogue, size: str, kn: str, kg: str) -> None:
    """EN 12385-4, 6x7 with a steel core, grade 1770: as printed there, from memory; rounded down to 0.1 kN in the table."""
    row = wire_of(demo, "7x7", "galvanised", Decimal(size))
    assert Decimal(kn) - Decimal("0.1") <= row.break_kn <= Decimal(kn)
    assert abs(row.kg_per_100m - Decimal(kg)) <= Decimal("0.05")


def test_galvanised_steel_expands_less_and_stretches_less_than_stainless(demo: Catalogue) -> None:
    """12e-6 per K: EN 1993-1-1, 3.2.6; 100 kN/mm2: EN 1993-1-11, table 3.1, from memory."""
    rows = [row for row in demo.tables.wires if row.material == "galvanised"]
    assert {(row.expansion_per_k, row.modulus_gpa, row.construction) for row in rows} == {(Decimal("0.000012"), Decimal(100), "7x7")}


def test_316_expands_as_published(demo: Catalogue) -> None:
    """16.0e-6 per K, 0 to 100 degC: data sheets citing ASTM A240."""
    rows = [row for row in demo.tables.wires if row.material == "316"]
    assert {row.expansion_per_k for row in rows} == {Decimal("0.000016")}
    assert all("ASTM A240" in row.source for row in rows)


def test_weights_of_composition_b_are_marked_as_from_memory(demo: Catalogue) -> None:
    """AC 43.13-1B table 7-3, weights not seen: from memory, and the rows say so."""
    rope = wire_of(demo, "7x19", "composition_b", inches("3/16"))
    assert "mass: the same, from memory" in rope.source
