"""Commands work with the tables in force, not with the configured folder where that differs; each says so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from service.cli.in_force import engine_with_or_without
from service.engine.engine import engine_of
from service.settings import Settings
from service.storage import Quotes
from tests.batches.fleet import boat, ndjson
from tests.catalogue.conftest import Loft
from tests.service.conftest import DAY, Command
from tests.service.shops import small_shop


@pytest.fixture
def lofts(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> tuple[Loft, Loft]:
    """The configured folder, and another that is in force: with one more size of wire and 25 m of it on the shelf."""
    mine, put = small_shop(tmp_path / "mine"), small_shop(tmp_path / "put")
    put.add("wires.csv", sku="W-5", name="Rope, 5 mm", diameter="5 mm", **{"break": "19 kN"}, mass="11.5 kg/100m", metallic="11.6 mm2")
    for quantity, price in (("0", "3.60"), ("50", "3.40")):
        put.add("prices.csv", sku="W-5", unit="m", from_quantity=quantity, unit_price=price)
    put.add("stock.csv", id="W5-OPEN", wire="W-5", kind="opened", length="25 m", count="1")
    assert command("tables", "put", str(put.folder), "--yes", "--by", "Jo Marsh", *accepted(put, command, capsys)) == 0
    monkeypatch.setenv("SERVICE_CATALOGUE", str(mine.folder))
    return mine, put


def accepted(loft: Loft, command: Command, capsys: Any) -> list[str]:
    """Each doubt of the added rows by its name, so that they are accepted: they are not what is tested here."""
    capsys.readouterr()
    command("catalogue", "check", str(loft.folder))
    lines = [line.strip() for line in capsys.readouterr().err.splitlines()]
    return [word for line in lines if line.startswith("--accept ") for word in ("--accept", line.removeprefix("--accept ").strip("'"))]


def test_the_shelf_is_that_of_the_tables_in_force(command: Command, lofts: tuple[Loft, Loft], tmp_path: Path, capsys: Any) -> None:
    mine, _ = lofts
    capsys.readouterr()
    assert command("stock", "list") == 0
    said = capsys.readouterr()
    assert "W5-OPEN" in said.out
    assert f"they are not those of {mine.folder}" in said.err
    counted = mine.table("stock.csv")
    (tmp_path / "counted.csv").write_text(
        "\n".join([",".join(counted[0]), "W5-NEW,W-5,opened,20 m,,2.10,1,,counted by hand"]) + "\n", encoding="utf-8"
    )
    assert command("stock", "count", str(tmp_path / "counted.csv"), "--yes") == 0
    assert command("stock", "list") == 0
    assert [line.split()[0] for line in capsys.readouterr().out.splitlines() if "W-5" in line] == ["W5-NEW"]


def test_commands_without_a_server_quote_with_what_is_in_force_or_say_what_else(
    command: Command, quotes: Quotes, lofts: tuple[Loft, Loft], tmp_path: Path, capsys: Any
) -> None:
    mine, put = lofts
    keys = {each.folder: engine_of(each.folder, Settings(today=DAY)).key for each in lofts}
    capsys.readouterr()
    for database, folder, said in (
        (quotes.url, put.folder, "With the tables in force: "),
        (f"sqlite:///{tmp_path}/none.sqlite3", mine.folder, f"With the tables of {mine.folder}: "),
    ):
        settings = Settings(today=DAY, catalogue=mine.folder, database_url=database)
        assert engine_with_or_without(settings).key == keys[folder]
        assert capsys.readouterr().err.startswith(said)
    assert not (tmp_path / "none.sqlite3").exists()
    (tmp_path / "fleet.ndjson").write_bytes(ndjson(boat("A")))
    command("batch", str(tmp_path / "fleet.ndjson"))
    assert capsys.readouterr().err.startswith("With the tables in force: ")


@pytest.mark.parametrize("words", [("growth",), ("purchases", "needed")])
def test_others_say_when_the_folder_is_not_what_counts(
    command: Command, lofts: tuple[Loft, Loft], capsys: Any, words: tuple[str, ...]
) -> None:
    capsys.readouterr()
    command(*words)
    assert capsys.readouterr().err.startswith("With the tables in force, ")
