"""`python -m service gallery FOLDER`: every format of the demo boats, the same each time, with an index that finds them all."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from urllib.parse import unquote
from xml.etree.ElementTree import fromstring

import pytest

from service.demo import demo_names
from tests.service.conftest import Command

FORMS = {"quote.json", "lines.csv", "bill.csv", "quote.xlsx", "quote-ubl.xml", "rig-sheet.svg", "bench-sheet.html", "bench-sheet.json"}


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_every_boat_is_there_in_every_form_and_the_index_finds_all(command: Command, tmp_path: Path) -> None:
    assert command("gallery", str(tmp_path / "gallery")) == 0
    found = files(tmp_path / "gallery")
    for name in demo_names():
        assert {f"{name}/{form}" for form in FORMS | {"quotation-en.pdf", "quotation-archived.pdf", "cutting-plan.csv"}} <= found.keys()
        quote = json.loads(found[f"{name}/quote.json"])
        assert sum(each.startswith(f"{name}/assembly-") for each in found) == len(quote["assemblies"])
        assert "invented for demonstration" in quote["customer"]["reference"]
    linked = {unquote(unescape(each)) for each in re.findall('href="([^"]*)"', found["index.html"].decode())}
    assert linked == found.keys() - {"index.html"}
    for name, content in found.items():
        if name.endswith((".svg", ".xml")):
            fromstring(content)  # noqa: S314  # made here


def test_the_boats_show_what_is_ready_what_is_asked_and_what_is_held(command: Command, tmp_path: Path) -> None:
    command("gallery", str(tmp_path / "gallery"))
    quotes = [json.loads((tmp_path / "gallery" / name / "quote.json").read_bytes()) for name in demo_names()]
    assert {quote["display_units"] for quote in quotes} == {"metric", "imperial"}
    assert {each["readiness"] for quote in quotes for each in quote["assemblies"]} == {"ready_to_cut", "confirm", "hold"}


def test_it_is_the_same_each_time(command: Command, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert command("gallery", str(tmp_path / name)) == 0
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_a_folder_that_holds_something_is_left_alone(command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    assert command("gallery", str(tmp_path)) == 2
    assert command("gallery", str(tmp_path / "mine.txt")) == 2
    assert "not empty" in capsys.readouterr().err
    assert list(files(tmp_path)) == ["mine.txt"] or "quotes.sqlite3" in files(tmp_path)
    assert (tmp_path / "mine.txt").read_text() == "mine"
