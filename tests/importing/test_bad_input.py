"""Files as shops have them, and worse: each fault is reported with file, sheet, row, column and what to write, and nothing is loaded."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pricing.importing import workbooks
from pricing.importing.grid import MOST_BYTES, MOST_ROWS, Note, Unreadable
from pricing.importing.lists import ImportOptions, ShopList, read_list
from pricing.importing.merging import Choice, merged
from tests.counts import some
from tests.measuring_sheet.made_by_hand import packed, parts, worksheet
from tests.yardstick import at_most

from .running import run, small_folder, workbook

HEAD = ["Art.-Nr.", "Bezeichnung", "Bolzen mm", "Loch mm"]
SPACES = b" " * 1_000_000
GOOD = ["A-1", "Gabel", "8", "9"]


def text(*rows: list[str], encoding: str = "utf-8", delimiter: str = ";") -> bytes:
    return "".join(delimiter.join(row) + "\n" for row in rows).encode(encoding)


def read(body: bytes, file: str = "liste.csv", **options: object) -> ShopList:
    return read_list(body, file, ImportOptions(**{"kind": "terminals", **options}))  # type: ignore[arg-type]


def refused(body: bytes, file: str = "liste.csv", **options: object) -> Note:
    with pytest.raises(Unreadable) as caught:
        read(body, file, **options)
    return caught.value.notes[0]


def faults(body: bytes, file: str = "liste.csv", **options: object) -> list[Note]:
    return [note for part in read(body, file, **options).sheets for note in part.faults]


def test_an_empty_file() -> None:
    for body in (b"", b"\n\n  \n", b"\xef\xbb\xbf"):
        assert refused(body).code == "empty"
    assert refused(workbook([]), "liste.xlsx").code == "empty"


def test_a_file_of_a_hundred_megabytes_is_not_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert refused(b"x" * (MOST_BYTES + 1)).code == "too_large"
    path = tmp_path / "big.csv"
    with path.open("wb") as stream:
        stream.truncate(100_000_000)  # a hole, which takes no place
    done = run(capsys, path, "--as", "terminals")
    assert done.code == 2
    assert "100 MB, more than the 32 MB that are read: split the list" in done.err


def test_a_million_rows() -> None:
    found = refused(text(HEAD) + b"A;b;8;9\n" * (MOST_ROWS + 1))
    assert (found.code, found.place.row) == ("too_many_rows", MOST_ROWS + 1)
    assert "import it in parts" in found.words


def test_a_byte_outside_every_charset_is_named_with_its_row() -> None:
    found = refused(text(HEAD, GOOD) + b"A-2;Wei\x81;8;9\n")
    assert (found.code, found.place.row) == ("charset", 3)
    assert "--charset" in found.words


@pytest.mark.parametrize("charset", ["punycode", "undefined", "no-such", "utf\0-8"])
def test_a_charset_that_no_file_has(charset: str) -> None:
    assert "say which with --charset" in refused(text(HEAD, GOOD), charset=charset).words


def test_a_header_longer_than_any_known_one_is_not_split() -> None:
    """Of strokes and spaces without an end, the expressions would take minutes."""
    assert read(text([*HEAD, "x " * 20 + "[mm]"], [*GOOD, "1"])).sheets[0].head.units[4] == "mm"
    assert read(text([*HEAD, "x " * 200 + "[mm]"], [*GOOD, "1"])).sheets[0].head.units[4] == ""


def test_two_charsets_in_one_file() -> None:
    found = refused(text(HEAD, ["A-1", "Öse für Bolzen", "8", "9"]) + "A-2;Öse;8;9\n".encode("cp1252"))
    assert (found.code, found.place.row) == ("charset", 3)
    assert "two charsets are mixed" in found.words


def test_letters_that_were_garbled_before() -> None:
    found = refused(text(HEAD, ["A-1", "Ã–se fÃ¼r Bolzen", "8", "9"]))
    assert (found.code, found.place.row) == ("charset", 2)


def test_a_dos_charset_is_asked_for_and_then_read() -> None:
    body = text(HEAD, ["A-1", "Gabel für Draht", "8", "9"], encoding="cp850")
    assert "cp850" in refused(body).words
    assert read(body, charset="cp850").sheets[0].cell(1, "name") == "Gabel für Draht"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
@pytest.mark.parametrize("delimiter", [";", ",", "\t", "|"])
def test_charsets_and_delimiters_are_found(encoding: str, delimiter: str) -> None:
    found = read(text(HEAD, ["A-1", "Gabel für Bolzen", "8", "9"], ["A-2", "Öse", "10", "11"], encoding=encoding, delimiter=delimiter))
    assert found.sheets[0].columns["name"] == ["Gabel für Bolzen", "Öse"]
    assert found.sheets[0].columns["pin"] == ["8 mm", "10 mm"]
    assumed = [note for note in found.notes if note.code == "charset"]
    assert len(assumed) == (encoding in ("cp1252", "latin-1", "utf-16-le", "utf-16-be"))


def test_a_nul_byte() -> None:
    found = refused(text(HEAD, GOOD) + b"A-2;Ga\x00bel;8;9\n")
    assert (found.code, found.place.row) == ("nul", 3)
    marked = text(HEAD, GOOD, ["A-2", "Ga\x00bel", "8", "9"], encoding="utf-16")
    assert (refused(marked).code, refused(marked).place.row) == ("nul", 3)


def test_a_quotation_mark_that_is_not_closed() -> None:
    found = refused(text(HEAD, GOOD) + b'A-2;"Gabel;8;9\nA-3;x;8;9\n')
    assert (found.code, found.place.row) == ("broken_record", 3)


def test_inch_marks_are_not_quotation_marks() -> None:
    found = read(text(["Art.-Nr.", "Bezeichnung", "Bolzen"], ["A-1", "Gabel", '3/8"'], ["A-2", "Gabel", '1/2" ']))
    assert found.sheets[0].columns["pin"] == ["3/8 in", "1/2 in"]


def test_a_workbooks_numbers_do_not_decide_the_decimal_separator_of_its_texts() -> None:
    """A text of 1.250 among numbers is 1250 in one country and 1.25 in another; a workbook's own numbers have neither comma nor point."""
    book = workbook([["Art.-Nr.", "Bezeichnung", "Bolzen [mm]", "Preis"], ["A-1", "Gabel", 12.5, 12.5], ["A-2", "Gabel", "1.250", "1.250"]])
    found = faults(book, "liste.xlsx")
    assert [(note.place.row, note.place.header) for note in found] == [(3, "Bolzen [mm]"), (3, "Preis")]
    assert all("may be 1.250 or 1250" in note.words for note in found)


def test_a_number_of_a_workbook_is_what_its_cell_shows() -> None:
    """0.375 shown as 3/8 is 3/8 of an inch, 0.25 with an inch mark is not of the column's millimetres, and 4 % is kept as 0.04."""

    def formats(book: Any, sheet: Any) -> None:
        for at, code in (("D2", "# ?/?"), ("D3", '0.00" in"'), ("D4", r"0.000\""), ("D5", '[Red]0.0" mm";0'), ("D6", "# ??/16")):
            sheet[at].number_format = code
        sheet["C6"].number_format = "0%"

    rows: list[list[Any]] = [
        ["A-1", "Draht", 3, 0.375],
        ["A-2", "Draht", 3, 0.25],
        ["A-3", "Draht", 3, 0.125],
        ["A-4", "Draht", 3, 6.5],
        ["A-5", "Draht", 0.04, 1.25],
    ]
    book = workbook([["Art.-Nr.", "Name", "Verschnitt", "Durchmesser [mm]"], *rows], formats)
    found = read_list(book, "liste.xlsx", ImportOptions("wires")).sheets[0]
    assert found.columns["diameter"] == ["3/8 in", "0.25 in", "0.125 in", "6.5 mm", "1 1/4 in"]
    assert found.columns["scrap"] == ["3", "3", "3", "3", "4"]


def test_a_zip_that_is_not_a_workbook_and_an_old_workbook() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("letter.txt", "no workbook")
    assert refused(out.getvalue(), "liste.xlsx").code == "not_a_workbook"
    assert refused(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "liste.xls").words.endswith("save it as .xlsx")
    assert refused(b"Art.-Nr.;Bezeichnung\n", "liste.xlsx").code == "not_a_workbook"
    assert refused(workbook([HEAD, GOOD])[:900], "liste.xlsx").code == "damaged"


def test_a_workbook_that_unpacks_to_more_than_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """The bound itself is 200 MB; here it is a hundredth of a megabyte, so that the test need not pack as much."""
    bomb = packed(parts(worksheet("<row><c/></row>" + " " * 20_000)))
    assert refused(bomb, "liste.xlsx").code != "too_large"
    monkeypatch.setattr(workbooks, "LIMITS", workbooks.LIMITS._replace(unpacked=10_000))
    assert refused(bomb, "liste.xlsx").code == "too_large"


@pytest.mark.parametrize("much", [some(150, 60), pytest.param(250, marks=pytest.mark.long)], ids=["within the bound of bytes", "beyond it"])
def test_a_small_workbook_that_unpacks_to_hundreds_of_megabytes_is_refused_at_once(much: int) -> None:
    """Megabytes of spaces, packed to a thousandth: little of it is unpacked, which is timed beside reading a regular list."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, part in parts(worksheet("<row/>")).items():
            with file.open(name, "w") as stream:
                stream.write(part.encode())
                for _ in range(much if name.endswith("sheet1.xml") else 0):
                    stream.write(SPACES)
    bomb, honest = out.getvalue(), workbook([HEAD, *([f"A-{each}", "Gabel", 8, 9] for each in range(400))])
    assert at_most(15, lambda: refused(bomb, "liste.xlsx"), lambda: read(honest, "liste.xlsx")).code == "too_large"
    tracemalloc.start()
    refused(bomb, "liste.xlsx")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert most < 40_000_000


def test_dates_for_fractions() -> None:
    """3/8 became 8 March: as a date in a workbook, as text in a CSV file."""
    book = workbook([["Art.-Nr.", "Bezeichnung", "Bolzen"], ["A-1", "Gabel", date(2026, 3, 8)], ["A-2", "Gabel", "1/2 in"]])
    (found,) = faults(book, "liste.xlsx")
    assert (found.place.sheet, found.place.row, found.place.column, found.place.header) == ("Liste", 2, 2, "Bolzen")
    assert "(it may have been 3/8 or 8/3)" in found.words
    assert "write it again with its unit, such as '3/8 in'" in found.words
    for spoilt in ("08.03.", "8. Mrz", "3-Aug", "08-Mar", "Mar 08", "08.03.2026", "2026-03-08"):
        (found,) = faults(text(["Art.-Nr.", "Bezeichnung", "Bolzen"], ["A-1", "Gabel", spoilt], ["A-2", "Gabel", "1/2 in"]))
        assert "has made a date of a fraction" in found.words, spoilt
    assert faults(text(["Art.-Nr.", "Bezeichnung", "Bolzen"], ["A-1", "Gabel", "8,03 mm"])) == []


def test_formulas() -> None:
    """openpyxl stores no values of formulas, so the file has none; one with a value is made by hand."""
    (found,) = faults(workbook([HEAD, ["A-1", "Gabel", "=4+4", 9], ["A-2", "Gabel", 8, 9]]), "liste.xlsx")
    assert "is a formula, and the file has no value of it" in found.words
    assert found.place.column == 2
    cells = [["sku", "name", "pin mm"], ["A-1", "Gabel", ""]]
    rows = "".join("<row>" + "".join(f'<c t="inlineStr"><is><t>{each}</t></is></c>' for each in row[:2]) for row in cells[:1])
    rows += '<c t="inlineStr"><is><t>pin mm</t></is></c></row>'
    rows += '<row><c t="inlineStr"><is><t>A-1</t></is></c><c t="inlineStr"><is><t>Gabel</t></is></c><c><f>4+4</f><v>8</v></c></row>'
    valued = read(packed(parts(worksheet(rows))), "liste.xlsx")
    assert valued.sheets[0].columns["pin"] == ["8 mm"]
    assert "formulas" in {note.code for note in valued.notes}
    assert ("pin mm", "what formulas came to when the workbook was saved") in valued.sheets[0].assumed


def test_errors_of_the_spreadsheet() -> None:
    (found,) = faults(workbook([HEAD, ["A-1", "Gabel", "#REF!", 9], ["A-2", "Gabel", 8, 9]]), "liste.xlsx")
    assert "is an error of the spreadsheet" in found.words


def test_merged_cells_are_not_filled() -> None:
    def merge(book: object, sheet: object) -> None:
        sheet.merge_cells("C2:C3")  # type: ignore[attr-defined]

    (found,) = faults(workbook([HEAD, ["A-1", "Gabel", 8, 9], ["A-2", "Gabel", None, 9]], merge), "liste.xlsx")
    assert (found.place.row, found.place.column) == (3, 2)
    assert "covered by a merged cell" in found.words


def test_hidden_rows_and_columns_are_reported_and_not_read() -> None:
    def hide(book: object, sheet: object) -> None:
        sheet.row_dimensions[3].hidden = True  # type: ignore[attr-defined]
        sheet.column_dimensions["D"].hidden = True  # type: ignore[attr-defined]
        other = book.create_sheet("Alt")  # type: ignore[attr-defined]
        other.append(HEAD)
        other.append(["A-9", "Gabel", 8, 9])
        other.sheet_state = "hidden"

    found = read(workbook([HEAD, GOOD, ["A-2", "Gabel", 8, 9]], hide), "liste.xlsx")
    assert found.sheets[0].columns["sku"] == ["A-1"]
    assert found.sheets[0].columns["hole"] == [""]
    assert {"hidden_rows", "hidden_columns", "hidden_sheet"} <= {note.code for note in found.notes}
    shown = read(workbook([HEAD, GOOD], hide), "liste.xlsx", sheet="Alt")
    assert shown.sheets[0].columns["sku"] == ["A-9"]


def test_numbers_as_text_in_a_workbook_are_read_with_the_columns_comma() -> None:
    found = read(workbook([HEAD, ["A-1", "Gabel", "8,5", 9], ["A-2", "Gabel", 10.25, "11"]]), "liste.xlsx")
    assert found.sheets[0].columns["pin"] == ["8.5 mm", "10.25 mm"]
    assert found.sheets[0].columns["hole"] == ["9 mm", "11 mm"]


def test_cells_that_a_spreadsheet_would_compute_are_data() -> None:
    found = read(text(["sku", "name", "pin mm"], ["A-1", "=HYPERLINK(1)", "8"], ["+A-2", "@SUM(1)", "9"], ["-A-3", "-x", "=4+4"]))
    assert found.sheets[0].columns["name"] == ["=HYPERLINK(1)", "@SUM(1)", "-x"]
    assert found.sheets[0].columns["sku"] == ["A-1", "+A-2", "-A-3"]
    assert [note.place.row for note in found.sheets[0].faults] == [4]


def test_a_header_below_a_letterhead_in_two_rows_and_with_units_is_found() -> None:
    rows = [
        ["Beispiel GmbH"],
        ["gültig ab März"],
        [],
        ["Art.-Nr.", "Bezeichnung", "Bolzen", "Loch"],
        ["", "", "mm", "in"],
        ["A-1", "Gabel", "8", "1/2"],
    ]
    found = read(text(*rows))
    assert found.sheets[0].head.row == 4
    assert found.sheets[0].columns["pin"] == ["8 mm"]
    assert found.sheets[0].columns["hole"] == ["1/2 in"]


def test_a_merged_title_above_headers_is_read_with_them() -> None:
    def merge(book: object, sheet: object) -> None:
        sheet.merge_cells("C1:D1")  # type: ignore[attr-defined]

    rows = [["", "", "Bolzen", None], ["Art.-Nr.", "Bezeichnung", "Durchmesser", "Loch"], ["A-1", "Gabel", "8 mm", "9 mm"]]
    found = read(workbook(rows, merge), "liste.xlsx")
    assert found.sheets[0].head.names == ["Art.-Nr.", "Bezeichnung", "Bolzen Durchmesser", "Bolzen Loch"]
    assert "two_headers" in {note.code for note in found.sheets[0].notes}


def test_a_list_without_a_header() -> None:
    found = refused(text(["A-1", "x", "8", "9"], ["A-2", "y", "8", "9"]))
    assert found.code == "no_header"
    assert "--header" in found.words
    assert refused(text(HEAD, GOOD), header=9).code == "no_header"


def test_totals_footnotes_and_repeated_headers_are_left_out_and_reported() -> None:
    found = read(text(HEAD, GOOD, HEAD, ["A-2", "Gabel", "8", "9"], ["Summe", "", "16", ""], ["Alle Preise zzgl. MwSt."]))
    assert found.sheets[0].columns["sku"] == ["A-1", "A-2"]
    codes = [note.code for note in found.sheets[0].notes]
    assert codes.count("footer") == 2
    assert codes.count("repeated_header") == 1


def test_two_rows_that_contradict_each_other_are_both_named() -> None:
    found = read(text(HEAD, GOOD, ["A-2", "Gabel", "8", "9"], ["A-1", "Gabel", "10", "11"]))
    plan = merged(found.sheets, {}, Choice())
    assert [(note.place.row, note.place.header) for note in plan.fatal] == [(2, "Bolzen mm"), (4, "Bolzen mm")]
    assert "contradicts liste.csv, row 4: here it has pin 8 mm, hole 9 mm" in plan.fatal[0].words


def test_the_same_row_twice_is_one_and_reported() -> None:
    found = read(text(HEAD, GOOD, ["A-1", "Gabel", "8,0", "9"]))
    plan = merged(found.sheets, {}, Choice())
    assert plan.fatal == []
    assert [note.place.row for note in plan.notes if note.code == "double"] == [3]
    assert len(plan.lacking) == 1


def test_a_row_without_a_number() -> None:
    plan = merged(read(text(HEAD, ["", "Gabel", "8", "9"], GOOD)).sheets, {}, Choice())
    assert [(note.code, note.place.row) for note in plan.refused] == [("no_key", 2)]


def test_nothing_is_written_where_rows_contradict_or_the_check_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = small_folder(tmp_path)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    head = ["sku", "name", "diameter", "length", "mass g", "price"]
    for rows, message in (
        ([["C-1", "Cotter", "9 mm", "60 mm", "4", "1"], ["C-1", "Cotter", "10 mm", "60 mm", "4", "1"]], "contradict"),
        ([["C-1", "Cotter", "9 mm", "60 mm", "4", "1"], ["C-9", "Cotter", "2 mm", "60 mm", "4", "1"]], "1 rows are refused"),
    ):
        path = tmp_path / "cotters.csv"
        path.write_bytes(text(head, *rows))
        done = run(capsys, path, "--as", "cotters", "--set", "from_day=2026-03-01", "--into", folder, "--yes")
        assert done.code == 2
        assert message in done.err
        assert {path.name: path.read_bytes() for path in folder.iterdir()} == before
    assert "cotters.csv, row 3, column C 'diameter': '2 mm': expected a row of its own" in done.out
    done = run(capsys, path, "--as", "cotters", "--set", "from_day=2026-03-01", "--into", folder, "--yes", "--leave-out")
    assert done.code == 0
    assert "C-1" in (folder / "cotters.csv").read_text(encoding="utf-8")
    assert "C-9" not in (folder / "prices.csv").read_text(encoding="utf-8")


def test_a_price_needs_a_day_and_a_days_price_is_never_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, path = small_folder(tmp_path), tmp_path / "cotters.csv"
    path.write_bytes(text(["sku", "name", "diameter", "length", "mass g", "price"], ["C-1", "Cotter", "9 mm", "60 mm", "4", "1"]))
    done = run(capsys, path, "--as", "cotters", "--into", folder, "--yes")
    assert done.code == 2
    assert "--set from_day=YYYY-MM-DD" in done.out
    assert run(capsys, path, "--as", "cotters", "--set", "from_day=2026-03-01", "--into", folder, "--yes").code == 0
    path.write_bytes(text(["sku", "name", "diameter", "length", "mass g", "price"], ["C-1", "Cotter", "9 mm", "60 mm", "4", "2"]))
    done = run(capsys, path, "--as", "cotters", "--set", "from_day=2026-03-01", "--into", folder, "--yes")
    assert done.code == 2
    assert "prices of a day are never changed" in done.out
    assert run(capsys, path, "--as", "cotters", "--set", "from_day=2026-04-01", "--into", folder, "--yes").code == 0
