"""The form's element as a package for npm: the served module, its types, and its texts, as the command writes them and the guide tells them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.guides import FOLDER as GUIDES
from service.web_form.element_texts import TEXTS
from service.web_form.module import FOLDER, PARTS, module
from service.web_form.npm_package import TYPES
from tests.service.conftest import Command
from tests.service.contract import contract

GUIDE = (GUIDES / "web-form.md").read_text(encoding="utf-8")
SOURCES = "\n".join(path.read_text(encoding="utf-8") for path in FOLDER.glob("*.js"))


@pytest.fixture
def folder(command: Command, tmp_path: Path) -> Path:
    assert command("form", "package", str(tmp_path / "made"), "--name", "@shop/form", "--version", "1.2.3") == 0
    return tmp_path / "made"


def read(path: Path) -> Any:
    return json.loads(path.read_text(encoding="utf-8"))


def test_it_holds_the_served_module_and_everything_that_it_names(folder: Path, client: FlaskClient) -> None:
    manifest = read(folder / "package.json")
    assert (folder / "wire-quote-form.js").read_bytes() == client.get("/form/element.js").data
    assert (manifest["name"], manifest["version"], manifest.get("private")) == ("@shop/form", "1.2.3", None)
    assert {*manifest["files"], "package.json", "README.md"} == {each.name for each in folder.iterdir()}
    exported = [each for entry in manifest["exports"].values() for each in (entry.values() if isinstance(entry, dict) else [entry])]
    assert all((folder / each).is_file() for each in exported)
    assert "dependencies" not in manifest
    assert "scripts" not in manifest
    assert 'import "@shop/form";' in (folder / "README.md").read_text(encoding="utf-8")
    assert {each.stat().st_mode & 0o777 for each in folder.iterdir()} == {0o644}


def test_without_a_scope_of_the_shops_it_cannot_be_published_by_mistake(command: Command, tmp_path: Path) -> None:
    (tmp_path / "made").mkdir()  # an empty folder does no harm
    assert command("form", "package", str(tmp_path / "made")) == 0
    assert read(tmp_path / "made" / "package.json")["private"] is True


def test_its_texts_are_those_of_element_and_questions_in_each_language(folder: Path) -> None:
    english, german = read(folder / "texts.en.json"), read(folder / "texts.de.json")
    own = {each for text in TEXTS.values() for each in ([text] if isinstance(text, str) else text)}
    assert own | {"Boat's name", "Millimetres first", "Nothing here replaces a survey."} <= set(english["texts"])
    assert {"Weiter", "Name des Bootes"} <= set(german["texts"])
    assert (english["lang"], german["lang"]) == ("en", "de")
    assert all(text == said for file in (english, german) for text, said in file["texts"].items())
    assert not {"boat.name", "/boat/name", "metric", "cap_shroud"} & set(english["texts"])  # values are none


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--name", "Shop Form"], "--name"),
        (["--name", "../x"], "--name"),
        (["--version", "1.2"], "--version"),
        (["--version", "01.2.3"], "--version"),
    ],
)
def test_a_name_or_version_that_npm_would_not_take_is_refused(
    command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], told: str
) -> None:
    assert command("form", "package", str(tmp_path / "made"), *options) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "made").exists()


def test_a_folder_that_holds_something_is_left_alone(command: Command, tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine").write_text("mine", encoding="utf-8")
    assert command("form", "package", str(tmp_path / "full")) == 2
    assert [each.name for each in (tmp_path / "full").iterdir()] == ["mine"]


def test_types_and_guide_name_every_answer_that_can_be_known(client: FlaskClient, folder: Path) -> None:
    types = (folder / TYPES[0]).read_text(encoding="utf-8").split("export interface WireQuoteTexts")[0]
    questions = [each for each in client.get("/v1/form").json["questions"] if each["scope"] == "request" and each.get("pointer")]
    assert len(questions) > 5
    told = GUIDE.split("## What you know already")[1].split("\n## ")[0]
    for each in questions:
        name = each["pointer"].rsplit("/", 1)[1]
        assert re.search(rf"\b{name}\?: ", types), name
        assert re.search(rf"[`\"]{name}[`\"]", told), name


def test_types_and_guide_name_every_event_property_and_part() -> None:
    types = "\n".join((FOLDER.parent / "package" / each).read_text(encoding="utf-8") for each in TYPES)
    events = set(re.findall(r'emit\("([a-z-]+)"', SOURCES))
    assert len(events) == 6
    assert events == set(re.findall(r'"(quote-[a-z]+)": CustomEvent', types)) == set(re.findall(r"(?m)^\| `(quote-[a-z]+)` \|", GUIDE))
    assert set(re.findall(r"var\((--wire-quote-[a-z-]+)", SOURCES)) == set(re.findall(r"`(--wire-quote-[a-z-]+)`", GUIDE))
    styled = re.search(r"(?s)const STYLED = \{(.*?)\};\nconst STYLED_TAGS = \{(.*?)\};", SOURCES)
    assert styled is not None
    parts = {part for each in re.findall(r': "([a-z -]+)"', styled[1] + styled[2]) for part in each.split()}
    assert parts == set(re.findall(r"`([a-z-]+)`", GUIDE.split("\nParts: ")[1].split("\n\n")[0]))


def test_a_reference_is_as_long_as_the_contract_lets_it_be() -> None:
    [longest] = re.findall(r"const LONGEST_REFERENCE = (\d+)", SOURCES)
    assert int(longest) == contract()["components"]["schemas"]["Customer"]["properties"]["reference"]["maxLength"]


def test_only_comments_and_indentation_are_left_out_of_the_parts() -> None:
    """Every other line of a part stands in the module, in order."""
    lines = iter(module().decode().split("\n"))
    comment = False
    for line in "\n".join((FOLDER / f"{name}.js").read_text(encoding="utf-8") for name in PARTS).split("\n"):
        said = line.strip()
        comment = comment or said.startswith("/**")
        if said and not comment and not said.startswith("//"):
            assert said in lines, said
        comment = comment and not said.endswith("*/")
