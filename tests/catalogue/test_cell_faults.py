"""One wrong cell gives one fault: file, line, column, what was found, what is expected."""

from __future__ import annotations

import pytest

from .conftest import Loft

WRONG = [
    # file, line, column, text, a word of what is expected
    ("wires.csv", 2, "diameter", "4", "unit"),
    ("pins.csv", 3, "grip", "12 furlongs", "unit"),
    ("pins.csv", 3, "grip", "-12 mm", "unit"),
    ("pins.csv", 3, "grip", "NaN mm", "unit"),
    ("pins.csv", 3, "grip", "0 mm", "unit"),
    ("pins.csv", 3, "grip", "", "unit"),
    ("wires.csv", 2, "break", "13.3 tons", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "13.3", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "13,3 kN", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "1_3 kN", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "1e1 kN", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "0 kN", "above 0"),
    ("wires.csv", 2, "break", "-13.3 kN", "above 0"),
    ("wires.csv", 2, "break", "9**9**9 kN", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "break", "٣ kN", "kN, N, lbf, kgf"),
    ("wires.csv", 2, "mass", "7.9 kg", "kg/100m"),
    ("wires.csv", 2, "metallic", "9.55 mm", "mm2"),
    ("wires.csv", 2, "modulus", "105 GPA", "GPa"),
    ("wires.csv", 2, "expansion", "16e-6 /K", "um/m/K"),
    ("wires.csv", 2, "scrap", "101", "0 to 100"),
    ("wires.csv", 2, "scrap", "4%", "0 to 100"),
    ("wires.csv", 2, "construction", "1X19", "1x19"),
    ("terminals.csv", 2, "family", "hook", "fork"),
    ("terminals.csv", 2, "constructions", "1x19,7x7", "one of 1x19"),
    ("terminals.csv", 2, "constructions", "1x19;1x19", "each once"),
    ("threads.csv", 3, "pitch", "24 tpi", "unit"),
    ("screws.csv", 2, "hand", "Left", "right, left"),
    ("sleeves.csv", 2, "per_eye", "1.0", "whole number"),
    ("sleeves.csv", 2, "per_eye", "0", "of 1 or more"),
    ("sleeves.csv", 2, "holds", "0", "above 0"),
    ("labour.csv", 2, "time", "5", "min"),
    ("prices.csv", 2, "unit_price", "-3.40", "0 or more"),
    ("prices.csv", 2, "unit_price", "3,40", "0 or more"),
    ("prices.csv", 2, "unit_price", "1_000", "0 or more"),
    ("prices.csv", 2, "unit_price", "1E+2", "0 or more"),
    ("prices.csv", 2, "unit_price", "NaN", "0 or more"),
    ("prices.csv", 2, "unit_price", "Infinity", "0 or more"),
    ("prices.csv", 2, "unit_price", "３.40", "0 or more"),  # a full-width digit, which Decimal would take
    ("prices.csv", 2, "unit_price", "", "0 or more"),
    ("prices.csv", 2, "from_day", "01/02/2026", "YYYY-MM-DD"),
    ("prices.csv", 2, "from_day", "20260101", "YYYY-MM-DD"),
    ("prices.csv", 2, "from_day", "2026-02-30", "YYYY-MM-DD"),
    ("prices.csv", 2, "unit", "ft", "each, m"),
    ("price_lists.csv", 2, "group", "wires", "wire"),
    ("terms.csv", 2, "value", "euro", "ISO 4217"),
    ("terms.csv", 3, "value", "30.5", "whole number"),
    ("terms.csv", 3, "unit", "week", "day"),
    ("terms.csv", 5, "value", "0.4", "0.5 to 1"),
    ("edition.csv", 2, "day", "soon", "YYYY-MM-DD"),
    ("edition.csv", 2, "name", "x" * 301, "300 characters"),
    ("edition.csv", 2, "name", "a\x00b", "printable"),
]


@pytest.mark.parametrize(("file", "line", "column", "text", "expected"), WRONG)
def test_a_wrong_cell_is_reported_with_its_place(loft: Loft, file: str, line: int, column: str, text: str, expected: str) -> None:
    loft.cell(file, line, column, text)
    fault = loft.fault()
    assert (fault.file, fault.line, fault.column) == (file, line, column)
    assert text[:20] in fault.found or fault.found == "a blank cell"
    assert expected in fault.expected


@pytest.mark.parametrize("file", ["wires.csv", "pins.csv", "labour.csv", "prices.csv", "tax.csv", "terms.csv", "edition.csv"])
def test_an_unsourced_row_is_refused(loft: Loft, file: str) -> None:
    loft.cell(file, 2, "source", " ")
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (2, "source", "a blank cell")
    assert "published source" in fault.expected


def test_an_unreadable_cell_is_reported_once_and_not_again_as_a_missing_reference(loft: Loft) -> None:
    loft.cell("pins.csv", 2, "diameter", "eight")
    loft.cell("pins.csv", 3, "diameter", "8 mm.")
    assert [fault.found for fault in loft.faults()] == ["eight", "8 mm."]


def test_a_term_that_is_a_length_is_read_with_its_unit(loft: Loft) -> None:
    loft.cell("terms.csv", 7, "unit", "kg")
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (7, "value", "3 kg")
    assert fault.expected.endswith("(for cut_allowance)")
