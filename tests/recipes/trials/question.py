"""The invented question: asked where it applies, in both languages, by description, page and sheet; its answer reaches the engine."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.service.form_filler import filled, holds, request_of
from tests.service.plain_form import Visitor

PATH = "sheave_diameter"
HALYARD = {
    "role": "halyard", "wire.construction": "7x19", "wire.diameter": "5 mm", "upper.terminal": "thimble_eye", "lower.terminal": "thimble_eye",
    "turnbuckle": False, PATH: "40 mm",
}  # fmt: skip


@pytest.mark.parametrize(
    ("language", "label"),
    [("en", "How thick is the sheave that it runs over?"), ("de", "Welchen Durchmesser hat die Scheibe, über die er läuft?")],
)
def test_it_is_asked_in_words_where_it_applies(client: FlaskClient, language: str, label: str) -> None:
    (asked,) = [each for each in client.get(f"/v1/form?lang={language}").json["questions"] if each["path"] == PATH]
    assert (asked["label"], asked["pointer"], asked["section"]) == (label, "/sheave_diameter", "wire")
    assert holds(asked["when"], {"role": "halyard"})
    assert not holds(asked["when"], {"role": "forestay"})


def test_the_sheet_has_a_column_for_it(client: FlaskClient) -> None:
    assert PATH in client.get("/v1/measuring-sheet?format=csv").text


def test_the_plain_page_asks_it_of_a_halyard(served: Flask) -> None:
    visitor = Visitor(served.test_client())
    visitor.press("next")
    visitor.press("next", place="other", unusual="no", turnbuckle_is="none")
    visitor.press("next", role="halyard", tag="MAIN")
    assert visitor.step == "wire"
    assert PATH in visitor.page.asked


def test_its_answer_is_quoted(client: FlaskClient) -> None:
    form: dict[str, Any] = client.get("/v1/form?lang=en").json
    request = request_of(form, filled(form, HALYARD))
    made = client.post("/v1/quotes/preview", json=request)
    assert made.status_code == 200, made.json
    found = {each["code"]: each["pointer"] for each in made.json["assemblies"][0]["findings"]}
    assert found["sheave-too-small"] == "/assemblies/0/sheave_diameter"  # 40 mm is less than 20 times 5 mm
