"""The drawings of the form: each one named by the description exists, describes itself in words, and is well formed."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.web_form.illustrations import NAMES, illustration

AT = "/v1/form/illustrations"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.mark.parametrize("name", NAMES)
def test_each_is_a_drawing_with_a_title_and_a_description(client: FlaskClient, name: str) -> None:
    """W3C SVG 1.1, 5.4: `title` and `desc` as text alternatives."""
    answer = client.get(f"{AT}/{name}?lang=de")
    assert (answer.status_code, answer.mimetype) == (200, "image/svg+xml")
    drawing = ET.fromstring(answer.data)  # noqa: S314  # our own bytes
    assert drawing.tag == f"{SVG}svg"
    assert (drawing.findtext(f"{SVG}title") or "").strip()
    assert (drawing.findtext(f"{SVG}desc") or "").strip()
    assert client.get(f"{AT}/{name}?lang=de", headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize("name", ["fork", "toggle"])
def test_the_line_of_a_tip_touches_the_round_end_of_the_cheek(name: str) -> None:
    drawing = ET.fromstring(illustration(f"{name}-outer_tip", "en"))  # noqa: S314  # our own bytes
    paths = [path.get("d") or "" for path in drawing.iter(f"{SVG}path")]
    (cheek,) = (found for d in paths if d.endswith("Z") and (found := re.search(r" ([\d.]+) A([\d.]+) ", d)))
    (line,) = (path.get("d") or "" for path in drawing.iter(f"{SVG}path") if path.get("class") == "datum")
    assert float(line.split("L")[0].split()[1]) == pytest.approx(float(cheek[1]) - float(cheek[2]), abs=0.01)


def test_every_drawing_that_the_description_names_is_there(client: FlaskClient) -> None:
    questions = client.get("/v1/form").json["questions"]
    choices = [choice for each in questions for choice in each.get("choices", [])]
    named = {each["illustration"] for each in choices if "illustration" in each}
    named |= {each["name"] for question in questions for each in question.get("illustrations", [])}
    by_fitting = {each for each in named if "{" in each}  # which they name is tried in test_form_traps.py
    assert {f"{{{end}.terminal}}-{{measurement.{end}_datum}}" for end in ("upper", "lower")} <= by_fitting
    terminals = next(each for each in questions if each["path"] == "upper.terminal")["choices"]
    assert named - by_fitting | {f"{each['value']}-bearing" for each in terminals if each["value"] != "none"} <= set(NAMES)


def test_what_is_not_drawn_and_a_language_that_is_not_written_are_told(client: FlaskClient) -> None:
    nothing = client.get(f"{AT}/anchor")
    assert nothing.status_code == 404
    assert "fork" in nothing.json["detail"]
    for at in ("/v1/form", f"{AT}/fork"):
        other = client.get(f"{at}?lang=xx")
        assert other.status_code == 422
        assert other.json["errors"][0]["parameter"] == "lang"


def test_the_screws_of_a_wire_that_lies_level_are_called_as_its_questions_call_them(client: FlaskClient) -> None:
    questions = client.get("/v1/form").json["questions"]
    (asked,) = (each for each in questions if each["path"] == "turnbuckle.setting.upper_exposed")
    assert [each["name"] for each in asked["illustrations"]] == ["turnbuckle-level", "turnbuckle"]
    for name, words in (("turnbuckle-level", ["forward", "after"]), ("turnbuckle", ["upper", "lower"])):
        drawing = ET.fromstring(illustration(name, "en"))  # noqa: S314  # our own bytes
        assert [each.text for each in drawing.iter(f"{SVG}text")] == words
