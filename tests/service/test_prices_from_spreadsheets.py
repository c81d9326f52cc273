"""Prices as spreadsheets save them: read as lists are, each fault named with file, sheet, row and column and with what to write, nothing half loaded."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pricing.importing.grid import Unreadable
from pricing.importing.lists import ImportOptions
from service.cli.price_files import prices_in
from service.storage import Editions, Quotes
from tests.catalogue.conftest import Loft
from tests.importing.running import workbook
from tests.service.conftest import Command
from tests.service.shops import small_shop

START = date(2026, 12, 2)
COLUMNS = ["sku", "unit", "from_quantity", "unit_price", "source"]
FOLDER = {
    "prices.csv": "sku,unit,from_day,from_quantity,unit_price,source\n",
    "terms.csv": "key,value,unit,from_day,source\ncurrency,EUR,,2026-01-01,x\n",
}
ROW = ["T-FORK", "each", 1, 8.25, "list"]


def text(*rows: list[str], delimiter: str = ",", encoding: str = "utf-8") -> bytes:
    return "".join(delimiter.join(row) + "\n" for row in (COLUMNS, *rows)).encode(encoding)


@pytest.fixture
def read(tmp_path: Path) -> Any:
    """The rows of a file, without a shop around it."""

    def reading(body: bytes, name: str = "list.csv", mapping: str = "", **told: Any) -> tuple[tuple[str, ...], ...]:
        (tmp_path / name).write_bytes(body)
        (tmp_path / "kept.toml").write_text(mapping, encoding="utf-8")
        return prices_in(tmp_path / name, FOLDER, START, ImportOptions(**told), tmp_path / "kept.toml" if mapping else None).rows

    return reading


@pytest.fixture
def refused(read: Any) -> Any:
    """What is said of a file that is refused."""

    def saying(body: bytes, name: str = "list.csv", **told: Any) -> list[str]:
        with pytest.raises(Unreadable) as caught:
            read(body, name, **told)
        return list(map(str, caught.value.notes))

    return saying


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("delimiter", [";", "\t", "|"])
def test_charsets_delimiters_and_decimal_commas(read: Any, encoding: str, delimiter: str) -> None:
    body = text(["T-FORK", "each", "1", "8,25", "Ångström's list"], delimiter=delimiter, encoding=encoding)
    assert read(body) == (("T-FORK", "each", "2026-12-02", "1", "8.25", "Ångström's list"),)


def test_a_workbook_and_words_for_units(read: Any) -> None:
    body = workbook([COLUMNS, ROW, ["W-4", "Meter", 0, "3,60", "list"], ["WORK", "Stunde", 0, 72, "list"]], title="Preise")
    assert [(row[1], row[4]) for row in read(body, "list.xlsx")] == [("each", "8.25"), ("m", "3.60"), ("hour", "72")]


def test_columns_in_another_order_below_a_letterhead(read: Any) -> None:
    body = b"Loft (invented)\n\nsource,unit_price,SKU,Unit,from quantity\nlist,8.25,T-FORK,each,1\n"
    assert read(body) == (("T-FORK", "each", "2026-12-02", "1", "8.25", "list"),)


def test_a_list_with_other_headers_is_read_by_its_mapping(read: Any, refused: Any) -> None:
    body = b"Art.-Nr.;Einheit;Ab Menge;Preis\nT-FORK;Stk;1;8,25\n"
    assert "the header lacks sku and unit and from_quantity and unit_price" in refused(body)[-1]
    columns = '"Art.-Nr." = "sku"\n"Einheit" = "unit"\n"Ab Menge" = "from_quantity"\n"Preis" = "unit_price"\n'
    kept = f'format = 1\n[[table]]\nas = "prices"\n[table.columns]\n{columns}[table.decimals]\n"Preis" = "comma"\n'
    assert read(body, mapping=kept) == (("T-FORK", "each", "2026-12-02", "1", "8.25", "list list.csv"),)
    with pytest.raises(Unreadable, match="a day of its own"):
        read(body, mapping=kept.replace('"from_quantity"', '"from_day"'))


def test_a_file_of_one_row(refused: Any) -> None:
    assert refused(text())[0].startswith("list.csv: no row below the header is an article")
    assert refused(b"T-FORK,each,1,8.25,list\n") == [
        "list.csv: no header row was found: name its row with --header, or write one with names such as 'article', 'name', 'wire', 'pin'"
    ]


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (["T-FORK", "each", "1", "=4+4"], "column D 'unit_price': 'a blank cell': is a formula, and the file has no value of it"),
        (["T-FORK", "each", "1", date(2026, 2, 8)], "column D 'unit_price': '2026-02-08': a spreadsheet has made a date of a number"),
        ([date(2026, 3, 8), "each", "1", 8], "column A 'sku': '2026-03-08': a spreadsheet has made a date of the article's number"),
        (["T-FORK", "each", "1", "#REF!"], "column D 'unit_price': '#REF!': is an error of the spreadsheet"),
        (["T-FORK", "barrel", "1", 8], "column B 'unit': 'barrel': is not a known word for unit"),
    ],
)  # fmt: skip
def test_a_cell_is_named_with_its_sheet(refused: Any, cells: list[Any], said: str) -> None:
    (found,) = refused(workbook([COLUMNS, ROW, [*cells, "list"]], title="Preise"), "list.xlsx")
    assert found.startswith(f"list.xlsx, sheet 'Preise', row 3, {said}")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (text(["T-FORK", "each", "1", "1,250", "list"], delimiter=";"), "row 2, column D 'unit_price': '1,250': may be 1.250 or 1250"),
        (text(["T-FORK", "each", "1", "8,25", "list"]), "row 2, column F: 'list': stands beyond the header's last column"),
        (text(["T-FORK", "each", "1", "08.03.", "list"]), "row 2, column D 'unit_price': '08.03.': a spreadsheet has made a date of a number"),
        (text(["T-FORK", "", "", "", ""], ["T-EYE", "each", "1", "9", "list"]), "row 2: 'T-FORK': stands alone in its row"),
        (b"sku,unit\nT-\x81,each\n", "row 2: 'T-<byte 81>': is neither"),
        (b"sku,unit,from_quantity,unit_price,colour\nT-FORK,each,1,8,red\n", "row 1, column E 'colour': is not a column that is read here"),
        (b"sku,unit,from_day,from_quantity,unit_price\nT-FORK,each,2026-01-01,1,8\n", "row 1, column C 'from_day': is said for the whole file"),
        (b"PK\x03\x04\0\0", "the workbook is damaged"),
    ],
)  # fmt: skip
def test_a_row_of_a_text_is_named(refused: Any, body: bytes, said: str) -> None:
    assert refused(body)[0].startswith(f"list.csv, {said}" if said.startswith("row") else f"list.csv: {said}")


def test_several_sheets_are_asked_about_and_hidden_rows_are_left_out(read: Any, refused: Any) -> None:
    def more(book: Any, sheet: Any) -> None:
        other = book.create_sheet("Alt")
        for row in (COLUMNS, ["T-EYE", *ROW[1:]], ["T-FORK", *ROW[1:]]):
            other.append(row)
        other.row_dimensions[3].hidden = True

    body = workbook([COLUMNS, ROW], more)
    assert refused(body, "list.xlsx") == ["list.xlsx: has several sheets ('Liste', 'Alt'): name one with --sheet"]
    assert [row[0] for row in read(body, "list.xlsx", sheet="Alt")] == ["T-EYE"]


@pytest.fixture
def loft(tmp_path: Path) -> Loft:
    return small_shop(tmp_path / "loft")


def test_the_commands_options_and_words_and_nothing_half_loaded(
    command: Command, quotes: Quotes, loft: Loft, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setenv("SERVICE_CATALOGUE", str(loft.folder))
    before = {path.name: path.read_bytes() for path in loft.folder.iterdir()}
    load = ("prices", "load", str(tmp_path / "list.xlsx"), "--from", START.isoformat(), "--yes")
    for second, said in (
        (["T-EYE", "each", "1", "nine", "list"], "list.xlsx, sheet 'Liste', row 3, column D 'unit_price': 'nine': is not a number"),
        (["NO-SUCH", "each", "1", 9, "list"], "list.xlsx, sheet 'Liste', row 3, column A 'sku': 'NO-SUCH': expected"),
    ):
        (tmp_path / "list.xlsx").write_bytes(workbook([COLUMNS, ROW, second]))
        assert command(*load) == 2
        told = capsys.readouterr().err
        assert told.startswith("Nothing was added:\n")
        assert said in told
        assert ({path.name: path.read_bytes() for path in loft.folder.iterdir()}, Editions(quotes).current()) == (before, None)
    (tmp_path / "list.xlsx").write_bytes(workbook([["Loft (invented)"], COLUMNS, ROW]))
    assert command(*load, "--sheet", "liste", "--header", "2") == 0
    assert "read as a workbook's sheet" in capsys.readouterr().out
    assert loft.table("prices.csv")[-1] == ["T-FORK", "each", START.isoformat(), "1", "8.25", "list"]
    assert Editions(quotes).current() is not None
