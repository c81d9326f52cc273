"""The mapping: guessed, saved as a file, corrected by a person, used again; and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest

from pricing.importing.grid import Unreadable
from pricing.importing.lists import EACH, ImportOptions, read_list
from pricing.importing.mapping import MOST_OF_A_MAPPING, SheetMapping, ShopMapping, read_mapping, written
from pricing.importing.merging import Choice, merged
from tests.yardstick import at_most

from .running import run, small_folder, workbook
from .test_bad_input import read, text


def test_a_mapping_is_written_and_read_back_the_same() -> None:
    part = SheetMapping(
        "terminals", "Gabeln", 4, ('Gabel "A"',), {"Art.-Nr.": "sku", "Maß \\ in": "pin", "Rest": ""}, {"Maß \\ in": "in"}, {"Maß \\ in": "comma"},
        {"family": {"Gäbelchen": "fork", "?": ""}}, {"source": "a 'list'"}, ("Bezeichnung",), ("raus",),
    )  # fmt: skip
    mapping = ShopMapping([part, SheetMapping("pins")], "cp1252", "\t")
    assert read_mapping(written(mapping, 'li"ste.csv').encode(), "m.toml") == mapping


@pytest.mark.parametrize(
    ("spoilt", "says"),
    [
        ('"pin"', "both become 'pin': leave one"), ('"pinn"', "becomes 'pinn', which is none of sku, name"), ("pin", "the mapping cannot be read"), ("8", "both in quotation marks"),
    ],
)  # fmt: skip
def test_a_mapping_with_a_slip_says_where(spoilt: str, says: str) -> None:
    good = written(ShopMapping([SheetMapping("terminals", columns={"a": "pin", "b": "SLIP"})]), "liste.csv")
    with pytest.raises(Unreadable, match=says):
        read_mapping(good.replace('"SLIP"', spoilt).encode(), "m.toml")


def test_a_mapping_that_is_none() -> None:
    for body in (b"", b"format = 2\n[[table]]\nas = 'pins'\n", b"format = 1\n[[table]]\nas = 'masts'\n", b"\xff"):
        with pytest.raises(Unreadable):
            read_mapping(body, "m.toml")


def test_a_column_of_the_mapping_that_the_list_has_not_is_named() -> None:
    mapping = ShopMapping([SheetMapping("terminals", columns={"Artikel": "sku", "Bolzn": "pin"})])
    with pytest.raises(
        Unreadable, match="'Bolzn': is a column of the mapping, and not of the sheet's header in row 1, which has 'Artikel', 'Bolzen'"
    ):
        read(text(["Artikel", "Bolzen"], ["A-1", "8 mm"]), mapping=mapping)


def test_a_header_that_has_moved_is_found_again() -> None:
    mapping = ShopMapping([SheetMapping("terminals", header_row=1, columns={"Artikel": "sku", "Bolzen": "pin"})])
    found = read(text(["Beispiel GmbH"], [], ["Artikel", "Bolzen"], ["A-1", "8 mm"]), mapping=mapping)
    assert found.sheets[0].columns["sku"] == ["A-1"]


def test_a_persons_words_and_units_go_before_ours() -> None:
    columns = {"Artikel": "sku", "Sorte": "family", "Dorn": "pin"}
    mapping = ShopMapping(
        [SheetMapping("terminals", columns=columns, units={"Dorn": "in"}, words={"family": {"Gabel": "toggle", "Haken": ""}})]
    )
    found = read(text(["Artikel", "Sorte", "Dorn"], ["A-1", "Gabel", "0.5"], ["A-2", "Haken", "1/2"]), mapping=mapping).sheets[0]
    assert found.columns["family"] == ["toggle", ""]
    assert found.columns["pin"] == ["0.5 in", "1/2 in"]
    assert [note.place.row for note in found.faults] == [3]


def test_an_unknown_header_is_guessed_from_the_cells_below() -> None:
    rows = [["Artikel", "Bezeichnung", "xyz"], ["A-1", "a", "LH"], ["A-2", "b", "RH"], ["A-3", "c", "links"]]
    assert read(text(*rows)).mapping.sheets[0].columns["xyz"] == "hand"


def test_a_header_that_the_cells_below_contradict_is_not_believed() -> None:
    rows = [["Artikel", "Bezeichnung", "Bolzen"], ["A-1", "a", "siehe Seite"], ["A-2", "b", "nach Wunsch"], ["A-3", "c", "Katalog"]]
    found = read(text(*rows))
    assert found.mapping.sheets[0].columns["Bolzen"] == ""
    assert [note.place.header for note in found.notes if note.code == "not_taken"] == ["Bolzen"]


def test_many_kinds_in_one_workbook_by_sheet() -> None:
    def more(book: object, sheet: object) -> None:
        for title, rows in (("Splinte", [["sku", "diameter"], ["C-1", "2 mm"]]), ("Notizen", [["sku", "name"], ["x", "y"]])):
            other = book.create_sheet(title)  # type: ignore[attr-defined]
            for row in rows:
                other.append(row)

    body = workbook([["sku", "pin"], ["T-1", "8 mm"]], more, "Endbeschläge")
    found = read_list(body, "liste.xlsx", ImportOptions(EACH))
    assert [(part.mapping.kind, part.columns["sku"]) for part in found.sheets] == [("terminals", ["T-1"]), ("cotters", ["C-1"])]
    assert [note.place.sheet for note in found.notes if note.code == "unknown_sheet"] == ["Notizen"]
    again = read_list(body, "liste.xlsx", ImportOptions(None, read_mapping(written(found.mapping, "liste.xlsx").encode(), "m.toml")))
    assert [part.columns["sku"] for part in again.sheets] == [["T-1"], ["C-1"]]
    with pytest.raises(Unreadable, match="has several sheets"):
        read_list(body, "liste.xlsx", ImportOptions("pins"))


def test_many_kinds_in_one_sheet_by_a_column() -> None:
    rows = [
        ["sku", "name", "Warengruppe", "diameter", "pin"],
        ["C-1", "a", "Splinte", "2 mm", ""],
        ["T-1", "b", "Endbeschläge", "", "8 mm"],
        ["X-1", "c", "Farbe", "", ""],
    ]
    found = read_list(text(*rows), "liste.csv", ImportOptions(EACH))
    assert [(part.mapping.kind, part.columns["sku"]) for part in found.sheets] == [("cotters", ["C-1"]), ("terminals", ["T-1"])]


def test_columns_missing_in_a_list_are_filled_from_the_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """New prices and a corrected size for an existing article: the other cells of its row stay as they were."""
    folder, path = small_folder(tmp_path), tmp_path / "neu.csv"
    before = (folder / "cotters.csv").read_text(encoding="utf-8").splitlines()
    sku = before[1].split(",")[0]
    path.write_bytes(text(["sku", "mass g", "price"], [sku, "99", "7,50"]))
    done = run(capsys, path, "--as", "cotters", "--set", "from_day=2026-05-01", "--into", folder, "--yes")
    assert done.code == 0, done.out + done.err
    after = (folder / "cotters.csv").read_text(encoding="utf-8").splitlines()
    assert after[1].split(",")[:4] == before[1].split(",")[:4]
    assert "99 g" in after[1]
    assert after[2:] == before[2:]
    assert f"{sku},each,2026-05-01,0,7.50" in (folder / "prices.csv").read_text(encoding="utf-8")


def test_an_article_that_was_only_sold_moves_to_its_table_once_its_dimensions_are_complete() -> None:
    head = ["sku", "name", "diameter", "length", "mass g"]
    lacking = merged(read(text(head, ["C-1", "Cotter", "2 mm", "", "4"]), kind="cotters").sheets, {}, Choice(sold_only=True))
    assert "C-1,Cotter,cotters,each,list liste.csv,length" in lacking.files["sold_only.csv"]
    whole = merged(read(text(head, ["C-1", "Cotter", "2 mm", "20 mm", "4"]), kind="cotters").sheets, lacking.files, Choice())
    assert "C-1" not in whole.files["sold_only.csv"]
    assert "C-1" in whole.files["cotters.csv"]


def test_discontinued_rows_are_left_out_unless_requested() -> None:
    body = text(
        ["sku", "name", "diameter", "length", "mass g", "Status"],
        ["C-1", "Cotter", "2 mm", "20 mm", "4", "ausgelaufen"],
        ["C-2", "Cotter", "3 mm", "20 mm", "4", ""],
    )
    assert "C-1" not in merged(read(body, kind="cotters").sheets, {}, Choice()).files["cotters.csv"]
    assert "C-1" in merged(read(body, kind="cotters").sheets, {}, Choice(with_ended=True)).files["cotters.csv"]


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (b"a" + b".a" * 100_000 + b" = 1", "nested too deep"),
        (b"[" + b'"a" . ' * 40_000 + b"a]", "nested too deep"),
        (b"a = {b = 1, " + b"c." * 100_000 + b"d = 1}", "nested too deep"),
        (b"a = " + b"[" * 200_000, "nested too deep"),
        (b"a = " + b"{b = " * 40_000, "nested too deep"),
        (b"a = " + b"1" * 200_000, "cannot be read"),
        (b"#" * (MOST_OF_A_MAPPING + 1), "more than 250 kB"),
        (b"a = '\xff'", "cannot be read"),
    ],
    ids=["a key of points", "a table of points", "a key in a table in a line", "lists", "tables", "a number", "size", "charset"],
)
def test_a_mapping_nested_deep_or_large_is_refused_in_little_time(body: bytes, message: str) -> None:
    """Keys of a hundred thousand parts take the standard library minutes and gigabytes."""

    def refused() -> str:
        with pytest.raises(Unreadable) as caught:
            read_mapping(body, "kept.toml")
        return str(caught.value)

    assert message in at_most(10, refused)


def test_the_file_of_accepted_doubts_is_not_a_list(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("doubt,by,day\n", encoding="utf-8")
    done = run(capsys, tmp_path / "list.csv", "--as", "accepted_doubts")
    assert "'accepted_doubts' is no table" in done.err
    assert done.err.count("accepted_doubts") == 1
