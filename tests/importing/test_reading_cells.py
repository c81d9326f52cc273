"""Cells as shops write them, and what each becomes. Expected texts are worked by hand from the unit or the fraction that is written."""

from __future__ import annotations

import pytest

from pricing.importing.convert import ColumnFormat, length, reader, thread
from pricing.importing.mapping import KINDS
from pricing.importing.names import taken_apart
from pricing.importing.numbers import COMMA, EACH, OPEN, POINT, NoNumber, decides, number

COLUMNS = {column.name: column for kind in ("wires", "terminals", "pins", "prices", "freight") for column in KINDS[kind].columns}


@pytest.mark.parametrize(
    ("written", "unit", "decimal", "ours"),
    [
        ("5 mm", "", "", "5 mm"), ("5mm", "", "", "5 mm"), ("5,25 mm", "", COMMA, "5.25 mm"), ('0.25"', "", POINT, "0.25 in"), ("1/4 in", "", "", "1/4 in"),
        ('1 3/8"', "", "", "1 3/8 in"), ("1-3/8 Zoll", "", "", "1-3/8 in"), ('½"', "", "", "½ in"), ("3/16", "", "", "3/16 in"), ("3/16", "mm", "", "3/16 in"),
        ("5", "mm", "", "5 mm"), ("5", "in", "", "5 in"), ("Ø 8 mm", "", "", "8 mm"), (".25 in", "", POINT, "0.25 in"), ("12er", "", "", "12 mm"),
        ('1,299"', "", COMMA, "1.299 in"), ("1,2 cm", "", COMMA, "1.2 cm"),
    ],
)  # fmt: skip
def test_a_length(written: str, unit: str, decimal: str, ours: str) -> None:
    found = length(written, unit, decimal)
    assert (found.text, found.problem) == (ours, "")


def test_a_fraction_without_a_unit_is_assumed_to_be_inches_and_a_bare_number_is_not() -> None:
    assert "of inches" in length("3/16", "", "").assumed
    assert "of inches" in length("3/16", "mm", "").assumed
    assert length("3/16 in", "", "").assumed == ""
    assert "has no unit, and neither has the column: write '5 mm' or '5 in'" in length("5", "", "").problem


@pytest.mark.parametrize("written", ["3/7", "5 kg", "about five", "1,234 mm", "1.2.3 mm", "-5 mm"])
def test_a_length_that_cannot_be_read_for_certain_is_refused(written: str) -> None:
    assert length(written, "", OPEN).problem


@pytest.mark.parametrize("written", ["4/5 mm", "10/12mm", "½ mm", "7/8 cm", "1 1/4 m"])
def test_a_fraction_of_a_metric_unit_may_be_two_sizes_and_is_refused(written: str) -> None:
    """Terminals are listed for wires of '4/5 mm', and mean 4 and 5 (common practice, no source): never 0.8 mm."""
    for unit in ("", "mm", "in"):
        assert "which no rule has" in length(written, unit, POINT).problem


def test_the_unit_at_the_end_of_a_list_is_reported_and_never_overrides_the_columns_own() -> None:
    found = reader(COLUMNS["wire_sizes"], ColumnFormat("mm"))("4; 5; 6 in", 0)
    assert "has in at its end, in a column of mm: write the unit after each size" in found.problem
    found = reader(COLUMNS["wire_sizes"], ColumnFormat())("3; 4; 5 mm", 0)
    assert (found.text, found.assumed) == ("3 mm;4 mm;5 mm", "the unit at the end is that of all: mm")
    for written, ours in (("5 mm", "5 mm"), ("3/16; 5 mm", "3/16 in;5 mm"), ("3; 4 in; 5 mm", "3 in;4 in;5 mm")):
        assert reader(COLUMNS["wire_sizes"], ColumnFormat("in"))(written, 0).text == ours


def test_a_comma_between_sizes_is_not_a_decimal_comma_where_the_column_has_points() -> None:
    for decimal in (POINT, EACH):
        assert "may be two sizes" in reader(COLUMNS["wire_sizes"], ColumnFormat("mm", decimal))("3,4", 0).problem
    assert reader(COLUMNS["wire_sizes"], ColumnFormat("mm", COMMA))("2,5; 4", 0).text == "2.5 mm;4 mm"


def test_a_sign_of_a_currency_is_reported() -> None:
    """No amount is converted: a list in dollars for a shop in euro would be wrong by their rate, and nobody would see it."""
    for written in ("12,50 €", "$ 12,50", "12,50 CHF"):
        assert "is taken for the currency of the shop's terms" in reader(COLUMNS["unit_price"], ColumnFormat("", COMMA))(written, 0).assumed
    assert reader(COLUMNS["unit_price"], ColumnFormat("", COMMA))("12,50", 0).assumed == ""


def test_a_percentage_is_not_a_price() -> None:
    assert "is a percentage" in reader(COLUMNS["unit_price"], ColumnFormat("", COMMA))("12 %", 0).problem


def test_the_column_decides_between_decimal_comma_and_decimal_point() -> None:
    assert decides(["1,5", "1.234,50", "7"]) == COMMA
    assert decides(["1.5", "1,234.50"]) == POINT
    assert decides(["1,5", "1.5"]) == EACH
    assert decides(["1.234", "7"]) == OPEN
    assert number("1.234", COMMA) == "1234"
    assert number("1.234", POINT) == "1.234"
    assert number("1.234.567,8", COMMA) == "1234567.8"
    assert number("1'234.50", POINT) == "1234.50"
    assert number("1 234,5", COMMA) == "1234.5"
    for mode in (OPEN, EACH):
        with pytest.raises(NoNumber, match=r"may be 1\.234 or 1234"):
            number("1.234", mode)
    with pytest.raises(NoNumber):
        number("1.234", COMMA, thousands=False)


@pytest.mark.parametrize(
    ("column", "written", "unit", "ours"),
    [
        ("break", "17,5", "kN", "17.5 kN"), ("break", "850 daN", "", "8500 N"), ("break", "1,5 t", "", "1500 kgf"), ("break", "3900 lbs", "", "3900 lbf"),
        ("mass", "52 g", "", "52 g"), ("wire_sizes", "3; 4; 5 mm", "", "3 mm;4 mm;5 mm"), ("wire_sizes", '2,5 mm / 3/32"', "", "2.5 mm;3/32 in"),
        ("wire_sizes", "4 mm (5/32 in)", "", "4 mm;5/32 in"), ("family", "Gabel", "", "fork"), ("hand", "LH", "", "left"), ("constructions", "7×7, 1 x 19", "", "7x7;1x19"),
        ("unit_price", "1.012,64 €", "", "1012.64"), ("unit_price", "12,-", "", "12"), ("from_day", "03.04.2026", "", "2026-04-03"), ("from_day", "25/12/2026", "", "2026-12-25"),
        ("thread", "M10", "", "M10"), ("thread", '3/8" UNF', "", "3/8-24 UNF"), ("scrap", "4 %", "", "4"), ("sku", '="00123"', "", "00123"),
    ],
)  # fmt: skip
def test_a_cell_of_each_kind(column: str, written: str, unit: str, ours: str) -> None:
    found = reader(COLUMNS[column], ColumnFormat(unit, COMMA))(written, 0)
    assert (found.text, found.problem) == (ours, "")


@pytest.mark.parametrize(
    ("column", "written", "says"),
    [
        ("family", "Schnalle", "say in the mapping, under words"), ("break", "17,5", "has no unit"), ("break", "17 kg/m", "has the unit 'kg/m'"), ("hand", "oben", "say in the mapping"),
        ("from_day", "03/04/2026", "may be 2026-03-04 or 2026-04-03"), ("unit_price", "billig", "is not a number"), ("scrap", "140", "a percentage from 0 to 100"),
        ("name", "x" * 301, "at most 300 characters"), ("wire_sizes", "4 mm; groß", "'groß' is not a length"),
    ],
)  # fmt: skip
def test_a_refused_cell_says_what_to_write(column: str, written: str, says: str) -> None:
    assert says in reader(COLUMNS[column], ColumnFormat("", COMMA))(written, 0).problem


def test_blanks_and_prices_on_request() -> None:
    for written in ("-", "k.A.", "n/a", "?"):
        found = reader(COLUMNS["jaw"], ColumnFormat("mm"))(written, 0)
        assert (found.text, found.problem) == ("", "")
        assert found.assumed
    found = reader(COLUMNS["unit_price"], ColumnFormat())("auf Anfrage", 0)
    assert (found.text, found.problem) == ("", "")


def test_assumed_units_of_force_are_reported() -> None:
    assert "tonnes-force" in reader(COLUMNS["break"], ColumnFormat("", COMMA))("1,5 t", 0).assumed
    assert "ISO 261" in thread("M10").assumed
    assert "24 threads per inch" in thread('3/8" UNF').assumed


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("Gabelterminal 6mm / 12er Bolzen", {"family": "fork", "wire_sizes": "6mm", "pin": "12er"}),
        ('Fork terminal for 3/16" wire, 3/8" pin', {"family": "fork", "wire_sizes": '3/16"', "pin": '3/8"'}),
        ("Gewindeterminal M10 LH 6mm Draht", {"family": "stud", "thread": "M10", "hand": "LH", "wire_sizes": "6mm"}),
        ("T-Terminal 4 mm Draht 1x19 gewalzt", {"family": "tee", "attachment": "swage", "constructions": "1x19", "wire_sizes": "4 mm"}),
        ("Kugelterminal 5 mm", {"family": "ball", "wire_sizes": "5 mm"}),
    ],
)
def test_a_merged_name_that_can_be_read_in_one_way(name: str, found: dict[str, str]) -> None:
    assert taken_apart(name).found == found
    assert taken_apart(name).open == ""


@pytest.mark.parametrize("name", ["Augterminal 5 mm", 'Gabel 7/16" / 12mm', "Gabel 6 mm Draht 8 mm Draht"])
def test_a_merged_name_that_can_be_read_in_two_ways_is_left_open(name: str) -> None:
    apart = taken_apart(name)
    assert not {"wire_sizes", "pin"} & set(apart.found)
    assert apart.open
