"""Faults of a file as a whole: it is missing, empty, in another encoding, ragged, or has other columns."""

from __future__ import annotations

import shutil
from pathlib import Path

from pricing.catalogue import load_catalogue

from .conftest import Loft


def test_the_small_loft_has_no_fault(loft: Loft) -> None:
    assert loft.load().edition.name == "Small loft"


def test_a_missing_file_is_named(loft: Loft) -> None:
    loft.path("freight.csv").unlink()
    fault = loft.fault()
    assert (fault.file, fault.line, fault.found) == ("freight.csv", 0, "no such file")


def test_a_folder_without_any_table_names_every_file(tmp_path: Path) -> None:
    empty = Loft(tmp_path)
    assert {fault.found for fault in empty.faults()} == {"no such file"}
    assert len({fault.file for fault in empty.faults()}) == 20


def test_an_empty_file_is_reported_with_the_header_it_lacks(loft: Loft) -> None:
    loft.path("freight.csv").write_text("\n\n")
    fault = loft.fault()
    assert (fault.file, fault.found) == ("freight.csv", "an empty file")
    assert "up_to_mass,up_to_coil,price,from_day,source" in fault.expected


def test_a_csv_file_that_is_not_a_table_is_reported(loft: Loft) -> None:
    shutil.copy(loft.path("prices.csv"), loft.path("prices_2027.csv"))
    fault = loft.fault()
    assert (fault.file, fault.found) == ("prices_2027.csv", "a file that is no table")


def test_files_of_other_kinds_may_lie_beside_the_tables(loft: Loft) -> None:
    loft.path("README.txt").write_text("notes")
    loft.load()


def test_another_encoding_is_reported_with_its_line_and_the_one_expected(loft: Loft) -> None:
    text = loft.path("pins.csv").read_text(encoding="utf-8").replace("P-8-12,Pin", "P-8-12,Bolzen ø8")
    loft.path("pins.csv").write_bytes(text.encode("latin-1"))
    faults = [fault for fault in loft.faults() if fault.file == "pins.csv"]
    assert [(fault.line, fault.found) for fault in faults] == [(3, "byte 0xf8")]
    assert "UTF-8" in faults[0].expected


def test_utf_16_is_reported_too(loft: Loft) -> None:
    loft.path("freight.csv").write_text(loft.path("freight.csv").read_text(encoding="utf-8"), encoding="utf-16")
    assert "UTF-8" in loft.fault().expected


def test_a_byte_order_mark_and_windows_line_ends_change_nothing(loft: Loft) -> None:
    before = loft.load()
    for path in loft.folder.iterdir():
        path.write_bytes(b"\xef\xbb\xbf" + path.read_text(encoding="utf-8").replace("\n", "\r\n").encode())
    after = loft.load()
    assert after.tables == before.tables
    assert (after.version, after.price_version) == (before.version, before.price_version)


def test_a_row_with_too_many_cells_is_reported_by_its_line_and_not_shifted(loft: Loft) -> None:
    loft.append_text("freight.csv", "10 kg,700 mm,1,400.00,2026-01-01,invented for tests\n")
    fault = loft.fault()
    assert (fault.line, fault.found) == (3, "6 cells")
    assert fault.expected.startswith("5 cells")


def test_a_row_with_too_few_cells_is_reported_by_its_line(loft: Loft) -> None:
    loft.append_text("freight.csv", "\n10 kg,700 mm\n")
    fault = loft.fault()
    assert (fault.line, fault.found) == (4, "2 cells")


def test_rows_after_a_ragged_one_keep_their_line_numbers(loft: Loft) -> None:
    loft.append_text("freight.csv", "10 kg\n30 kg,700 mm,-1,2026-01-01,invented for tests\n")
    assert [(fault.line, fault.column) for fault in loft.faults()] == [(3, ""), (4, "price")]


def test_a_line_break_within_quotes_keeps_later_lines_right(loft: Loft) -> None:
    loft.append_text("freight.csv", '10 kg,700 mm,1.00,2026-01-01,"two\nlines"\n30 kg,700 mm,x,2026-01-01,invented for tests\n')
    assert [(fault.line, fault.column) for fault in loft.faults()] == [(3, "source"), (5, "price")]


def test_an_open_quote_is_reported(loft: Loft) -> None:
    loft.append_text("freight.csv", '10 kg,700 mm,1.00,2026-01-01,"never closed\n')
    fault = loft.fault()
    assert fault.line == 3
    assert "quotes closed" in fault.expected


def test_a_quoted_cell_may_hold_a_comma(loft: Loft) -> None:
    loft.cell("freight.csv", 2, "source", "invented, for tests")
    assert loft.load().freight[0].source == "invented, for tests"


def test_a_missing_column_is_reported(loft: Loft) -> None:
    loft.write("freight.csv", [row[:3] + row[4:] for row in loft.table("freight.csv")])
    fault = loft.fault()
    assert (fault.line, fault.column, fault.found) == (1, "from_day", "no such column")


def test_an_unknown_column_is_reported_with_those_that_exist(loft: Loft) -> None:
    loft.cell("freight.csv", 1, "price", "prise")
    unknown, missing = sorted(loft.faults(), key=lambda fault: fault.column, reverse=True)
    assert (unknown.column, unknown.found) == ("prise", "an unknown column")
    assert "price" in unknown.expected
    assert (missing.column, missing.found) == ("price", "no such column")


def test_a_column_given_twice_is_reported(loft: Loft) -> None:
    loft.write("freight.csv", [[*row, row[2]] for row in loft.table("freight.csv")])
    fault = loft.fault()
    assert (fault.column, fault.found) == ("price", "a column given twice")


def test_columns_may_stand_in_any_order(loft: Loft) -> None:
    before = loft.load()
    loft.write("pins.csv", [row[::-1] for row in loft.table("pins.csv")])
    after = loft.load()
    assert after.tables.pins == before.tables.pins
    assert after.version == before.version


def test_na_is_text_and_not_a_missing_value(loft: Loft) -> None:
    for code in ("NA", "nan", "NULL", "None"):
        loft.cell("pins.csv", 2, "name", code)
        row = loft.load().article("P-8-20")
        assert row is not None
        assert row.name == code


def test_a_header_alone_is_a_table_without_rows(loft: Loft) -> None:
    for sku in ("BS-316-A", "BS-316-B"):
        lines = [number for number, row in enumerate(loft.table("prices.csv"), 1) if row[0] == sku]
        loft.drop("prices.csv", lines[0])
    loft.write("balls.csv", loft.table("balls.csv")[:1])
    assert load_catalogue(loft.folder).tables.balls == ()
