"""The drawings of the form: each that the description names is there, says in words what it shows, and is well formed."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from flask.testing import FlaskClient

from service.form.illustrations import NAMES

AT = "/v1/form/illustrations"
SVG = "{http://www.w3.org/2000/svg}"


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


def test_every_drawing_that_the_description_names_is_there(client: FlaskClient) -> None:
    questions = client.get("/v1/form").json["questions"]
    choices = [choice for each in questions for choice in each.get("choices", [])]
    named = {each["illustration"] for each in (*questions, *choices) if "illustration" in each}
    by_fitting = {each for each in named if "{" in each}
    assert by_fitting == {f"{{{end}.terminal}}-{{measurement.{end}_datum}}" for end in ("upper", "lower")}
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
