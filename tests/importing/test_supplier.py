"""A supplier's list of 2,000 articles, by the guide's commands, from raw to a checked folder."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pricing.catalogue import load_catalogue
from pricing.units import parse_length
from tests.counts import some

from .running import folder_of, run
from .supplier import DAY, SIZES, Tally, supplier_list

LENGTHS = tuple(name for name in SIZES if name != "growth_u")


@pytest.fixture(scope="module")
def made() -> tuple[bytes, Tally]:
    return supplier_list(some(2000, 500))


def table(folder: Path, name: str) -> dict[str, dict[str, str]]:
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        return {row["sku"]: row for row in csv.DictReader(stream)}


def test_from_raw_to_a_checked_folder(made: tuple[bytes, Tally], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    body, tally = made
    raw, kept, listing, folder = tmp_path / "liste.csv", tmp_path / "liste.toml", tmp_path / "found.csv", folder_of(tmp_path)
    raw.write_bytes(body)

    looked = run(capsys, raw, "--as", "terminals", "--save-mapping", kept)  # 1: look, and keep the mapping
    assert looked.code == 1
    assert "read as Windows-1252" in looked.out
    assert "This was a trial" in looked.out
    assert {path.name for path in folder.glob("*")} >= {"terminals.csv"}

    asked = run(capsys, raw, "--mapping", kept, "--set", f"from_day={DAY}", "--into", folder)  # the demo shop's prices are in USD
    assert asked.code == 2
    assert "column AB 'Preis EUR': 'Preis EUR': says another currency than the shop's terms, USD" in asked.out
    money = ("--set", "currency=USD")
    refused = run(capsys, raw, "--mapping", kept, "--set", f"from_day={DAY}", *money, "--into", folder)  # 2: nothing half
    assert refused.code == 2
    assert "--leave-out" in refused.err
    assert not (folder / "sold_only.csv").exists()

    words = (
        "--mapping",
        kept,
        "--set",
        f"from_day={DAY}",
        *money,
        "--into",
        folder,
        "--sold-only",
        "--leave-out",
        "--list",
        listing,
        "--yes",
    )
    done = run(capsys, raw, *words)  # 3: in
    assert done.code == 0, done.err
    catalogue = load_catalogue(folder)
    terminals, only = table(folder, "terminals"), table(folder, "sold_only")
    assert {sku for sku in terminals if sku.startswith("BT-")} == set(tally.whole)
    assert {sku: set(row["lacks"].split(";")) for sku, row in only.items()} == tally.lacking
    assert not (tally.ended | tally.bare | tally.dates) & (set(terminals) | set(only))
    for sku, row in tally.whole.items():
        for name in ("family", "attachment", "hand"):
            assert terminals[sku][name] == row[name], (sku, name)
        for name in LENGTHS:
            read = [parse_length(text, True) if text else None for text in (terminals[sku][name], row[name])]
            assert read[0] == read[1], (sku, name)
        assert [parse_length(each) for each in terminals[sku]["wire_sizes"].split(";")] == [
            parse_length(e) for e in row["wire_sizes"].split(";")
        ]
    prices = {row.sku: f"{row.unit_price:.2f}" for row in catalogue.prices if row.sku.startswith("BT-")}
    assert prices == {sku: tally.prices[sku] for sku in (*tally.whole, *tally.lacking)}
    with listing.open(encoding="utf-8-sig", newline="") as stream:
        found = list(csv.DictReader(stream))
    assert {row["found"] for row in found if row["what"] == "ended"} == tally.ended
    assert {row["found"] for row in found if row["code"] == "double"} == tally.double - tally.ended - tally.bare - tally.dates
    refused_rows = {row["row"] for row in found if row["what"] == "refused"}
    assert len(refused_rows) == len(tally.bare) + len(tally.dates) + len(tally.double & (tally.bare | tally.dates))
    assert sum("a spreadsheet has made a date of a fraction" in row["words"] for row in found) >= len(tally.dates)

    again = run(capsys, raw, *words)  # 4: once more changes nothing
    assert again.code == 0
    assert "has all of it already" in again.out


def test_the_list_has_every_oddity(made: tuple[bytes, Tally]) -> None:
    _, tally = made
    for name in ("whole", "merged", "lacking", "ended", "double", "bare", "dates"):
        assert len(getattr(tally, name)) >= 2, name
