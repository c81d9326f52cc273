"""`python -m service gallery FOLDER`: every format of the demo boats, the same each time, with an index that finds them all."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from urllib.parse import unquote
from xml.etree.ElementTree import fromstring

import pytest
from flask.testing import FlaskClient

from service.__main__ import main
from service.cli import gallery as galleries
from service.demo import demo_names, demo_request
from tests.counts import THOROUGH, some
from tests.service.conftest import DAY, Command

FORMS = {"quote.json", "lines.csv", "bill.csv", "quote.xlsx", "quote-ubl.xml", "rig-sheet.svg", "bench-sheet.html", "bench-sheet.json"}

BOATS = demo_names()[::-1][: some(3, 1)]  # the first is one with few wires, the last the one with most


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def gallery(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Made once, for the tests that look at it."""
    folder = tmp_path_factory.mktemp("gallery")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SERVICE_DATABASE_URL", f"sqlite:///{folder}/quotes.sqlite3")
        patch.setenv("SERVICE_TODAY", DAY.isoformat())
        patch.setattr(galleries, "demo_names", lambda: BOATS)
        assert main(("gallery", str(folder / "made"))) == 0
    return files(folder / "made")


def test_every_boat_is_there_in_every_form_and_the_index_finds_all(gallery: dict[str, bytes]) -> None:
    for name in BOATS:
        assert {f"{name}/{form}" for form in FORMS | {"quotation-en.pdf", "quotation-archived.pdf", "cutting-plan.csv"}} <= gallery.keys()
        quote = json.loads(gallery[f"{name}/quote.json"])
        assert sum(each.startswith(f"{name}/assembly-") for each in gallery) == len(quote["assemblies"])
        assert "invented for demonstration" in quote["customer"]["reference"]
    linked = {unquote(unescape(each)) for each in re.findall('href="([^"]*)"', gallery["index.html"].decode())}
    assert linked == gallery.keys() - {"index.html"}
    for name, content in gallery.items():
        if name.endswith((".svg", ".xml")):
            fromstring(content)  # noqa: S314  # made here


def test_the_boats_show_what_is_ready_what_is_asked_and_what_is_held(gallery: dict[str, bytes], client: FlaskClient) -> None:
    quotes = [json.loads(gallery[f"{name}/quote.json"]) for name in BOATS]
    quotes += [client.post("/v1/quotes", json=json.loads(demo_request(name))).json for name in demo_names()[::-1][len(BOATS) : 2]]
    assert {quote["display_units"] for quote in quotes} == {"metric", "imperial"}
    assert {each["readiness"] for quote in quotes for each in quote["assemblies"]} == {"ready_to_cut", "confirm", "hold"}


@pytest.mark.long
def test_it_is_the_same_each_time(gallery: dict[str, bytes], command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files of the first boat; all of them, and the index, in a thorough run."""
    monkeypatch.setattr(galleries, "demo_names", lambda: BOATS if THOROUGH else BOATS[:1])
    assert command("gallery", str(tmp_path / "again")) == 0
    again = files(tmp_path / "again")
    expected = gallery if THOROUGH else {name: content for name, content in gallery.items() if name.startswith(BOATS[0])}
    assert {name: again[name] for name in expected} == expected
    assert again.keys() == {"index.html", *expected}


def test_a_folder_that_holds_something_is_left_alone(command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    assert command("gallery", str(tmp_path)) == 2
    assert command("gallery", str(tmp_path / "mine.txt")) == 2
    assert "not empty" in capsys.readouterr().err
    assert list(files(tmp_path)) == ["mine.txt"] or "quotes.sqlite3" in files(tmp_path)
    assert (tmp_path / "mine.txt").read_text() == "mine"
