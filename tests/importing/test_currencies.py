"""A list's currency, in its headers, cells and number formats, beside the shop's: a difference is asked about, and nothing loaded before."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pricing.importing.currencies import meant, of_format
from pricing.importing.grid import Note
from pricing.importing.lists import ImportOptions, read_list
from pricing.importing.merging import Choice, merged

from .running import run, small_folder, workbook

HEAD = ["sku", "name", "diameter mm", "length mm", "mass g"]
COTTER = ["C-9", "Cotter", "9", "60", "4"]


def asked(body: bytes, shop: str, file: str = "list.csv", **constants: str) -> list[Note]:
    found = read_list(body, file, ImportOptions("cotters", constants={"from_day": "2026-12-01", **constants}))
    terms = f"key,value,unit,from_day,source\ncurrency,USD,,2020-01-01,x\ncurrency,{shop},,2026-01-01,x\n"
    return merged(found.sheets, {"terms.csv": terms}, Choice()).currency_mismatches


def text(header: str, price: str = "1.50", units: str = "") -> bytes:
    rows = [[*HEAD, header], *([["", "", "mm", "mm", "g", units]] if units else []), [*COTTER, price]]
    return "\n".join(";".join(row) for row in rows).encode()


@pytest.mark.parametrize(
    ("header", "codes"),
    [
        ("Preis EUR", {"EUR"}), ("Price (USD)", {"USD"}), ("€/Stk", {"EUR"}), ("12,50 €", {"EUR"}), ("US$ 3", {"USD"}), ("price £", {"GBP"}), ("pris kr", {"SEK", "NOK", "DKK", "ISK"}),
        ("$", {"USD", "CAD", "AUD", "NZD", "HKD", "SGD"}), ("CHF 3", {"CHF"}), ("Preis", set()), ("Europreis", set()), ("Kran", set()), ("12.50", set()),
    ],
)  # fmt: skip
def test_what_a_text_means(header: str, codes: set[str]) -> None:
    assert meant(header) == codes


@pytest.mark.parametrize(
    ("code", "sign"),
    [
        ("#,##0.00 €", "€"), ("#,##0.00\\ [$€-407]", "€"), ("[$USD] #,##0.00", "USD"), ('"$"#,##0.00', "$"), ("[$$-409]#,##0.00", "$"), ("\\£0.00", "£"),
        ("_-* #,##0.00 €_-;-* #,##0.00 €_-", "€"), ("[Red]0.00", ""), ("0.00", ""), ("General", ""), ('0.0" mm"', ""), ("0%", ""),
    ],
)  # fmt: skip
def test_what_a_number_format_shows(code: str, sign: str) -> None:
    """As spreadsheets write these formats (ECMA-376 part 1, 18.8.31)."""
    assert of_format(code) == sign


@pytest.mark.parametrize("body", [text("Preis EUR"), text("Price [€]"), text("Price", "1.50 €"), text("Price", units="EUR")])
def test_a_list_in_another_currency_is_asked_about(body: bytes) -> None:
    (note,) = asked(body, "USD")
    assert note.place.column == 5
    assert "the shop's terms, USD: convert the prices, or, if they are USD all the same, say --set currency=USD" in note.words
    assert asked(body, "EUR") == []
    assert asked(body, "USD", currency="USD") == []
    (note,) = asked(body, "USD", currency="CHF")
    assert (note.found, "convert the prices first" in note.words) == ("CHF", True)


def test_a_sign_that_several_currencies_share_is_any_of_them() -> None:
    assert asked(text("Price $"), "CAD") == asked(text("Price kr"), "SEK") == asked(text("Price"), "USD") == []
    assert len(asked(text("Price $"), "EUR")) == 1


@pytest.mark.parametrize(
    ("code", "shop", "many"), [("#,##0.00 €", "USD", 1), ("#,##0.00 €", "EUR", 0), ("[$USD] #,##0.00", "EUR", 1), ("0.00", "USD", 0)]
)
def test_a_workbooks_number_format_names_the_currency(code: str, shop: str, many: int) -> None:
    def formats(book: Any, sheet: Any) -> None:
        for at in ("A2", "F2"):  # an article's number is none the less one
            sheet[at].number_format = code

    body = workbook([[*HEAD, "Price"], [4711, "Cotter", 9, 60, 4, 1.5]], formats)
    assert len(asked(body, shop, "list.xlsx")) == many
    (part,) = read_list(body, "list.xlsx", ImportOptions("cotters")).sheets
    assert (part.columns["sku"], part.columns["price"]) == (["4711"], ["1.5"])


def test_nothing_is_written_before_it_is_answered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, path = small_folder(tmp_path), tmp_path / "list.csv"
    path.write_bytes(text("Preis CHF"))
    before = {each.name: each.read_bytes() for each in folder.iterdir()}
    words = (path, "--as", "cotters", "--set", "from_day=2026-12-01", "--into", folder, "--yes", "--leave-out")
    done = run(capsys, *words)
    assert (done.code, done.err) == (2, "Nothing was imported: the list's currency is not the shop's.\n")
    assert "Asked; nothing is loaded before it is answered (1):" in done.out
    assert {each.name: each.read_bytes() for each in folder.iterdir()} == before
    shop = next(
        line.split(",")[1] for line in (folder / "terms.csv").read_text(encoding="utf-8").splitlines() if line.startswith("currency,")
    )
    assert run(capsys, *words, "--set", f"currency={shop}").code == 0
    assert "C-9" in (folder / "prices.csv").read_text(encoding="utf-8")
