"""Lifelines lie level: whatever the form says of one, its ends are forward and after, and there is no mast."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.web_form.answering import request_of, shown, titled
from service.wording import translator
from tests.service.plain_form import Visitor

EN, DE = re.compile(r"\b(upper|lower|top|mast)\b", re.IGNORECASE), re.compile(r"\b(obere|untere|oben|unten|Mast)", re.IGNORECASE)
#: Named with the word that would be wrong of an end: the wires themselves, and a terminal that is there for masts.
NAMES = ("place", "role", "upper.terminal", "lower.terminal")
LIFE: dict[str, Any] = {
    "place": "lifeline_lower port", "unusual": "yes", "turnbuckle_is": "open kept", "turnbuckle.at": "lower", "wire_kind": "1x19 | 316", "wire.diameter": "5/32 in",
    "upper.terminal": "fork", "upper.attachment": "swage", "upper.pin": "5/16 in", "lower.terminal": "stud", "lower.attachment": "swage", "lower.screw": "5/16-24 UNF | right",
    "turnbuckle.lower_outer": "toggle | 5/16 in", "upper.links.1.kind": "shackle", "upper.links.1.change": "replaced", "upper.links.1.pin": "5/16 in", "upper.links.1.in_reading": True,
    "upper.links.2.kind": "toggle", "upper.links.2.change": "kept", "upper.links.2.pin": "5/16 in", "lower.links.1.kind": "shackle", "lower.links.1.change": "replaced",
    "lower.links.1.in_reading": True, "measured_from": "else", "measurement.includes_turnbuckle": True,
}  # fmt: skip
OTHERS: list[dict[str, Any]] = [
    {}, {"turnbuckle.at": "upper", "upper.terminal": "stud", "upper.screw": "5/16-24 UNF | right"}, {"lower.terminal": "fork", "lower.pin": "5/16 in"}, {"lower.terminal": "eye", "turnbuckle_is": "none"},
]  # fmt: skip


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("role", ["lifeline_lower port", "lifeline_upper starboard"])
def test_what_is_asked_of_a_lifeline_names_no_upper_end_and_no_mast(client: FlaskClient, language: str, role: str) -> None:
    form = client.get(f"/v1/form?lang={language}").json
    wrong, asked = set(), set()
    for other in OTHERS:
        entries = shown(form, "assembly", {**LIFE, "place": role, **other})
        known = {each.path: each.answer for each in entries if each.answer is not None}
        asked |= {each.path for each in entries if not each.hidden}
        texts = [(section["name"], titled(form, section["name"], known)) for section in form["sections"]]
        for each in entries:
            if not each.hidden:
                choices = [] if each.path in NAMES else [text for one in each.choices for text in (one.label, one.help)]
                texts += [(each.path, text) for text in (each.question["label"], each.question.get("help", ""), *choices)]
        wrong |= {text for text in texts if (EN if language == "en" else DE).search(text[1])}
    assert wrong == set()
    assert "mast" not in asked
    assert {
        "turnbuckle.at",
        "upper.links.2.in_reading",
        "lower.links.1.kind",
        "upper.boat_fitting.kind",
        "turnbuckle.setting.upper_exposed",
    } <= asked


def test_it_still_is_the_upper_end_of_whatever_stands(client: FlaskClient) -> None:
    form = client.get("/v1/form?lang=en").json
    labels = {each.path: each.question["label"] for each in shown(form, "assembly", {**LIFE, "place": "cap_shroud port"})}
    assert labels["upper.terminal"] == "What is at the upper end?"
    assert labels["mast"] == "On which mast?"
    assert titled(form, "upper", {"role": "cap_shroud"}) == "The upper end"
    assert titled(form, "upper", {"role": "gate_wire"}) == "The forward end"


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_review_speaks_of_the_forward_end(served: Flask, language: str) -> None:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    visitor = Visitor(client, language)
    visitor.press("next")
    page = visitor.page
    page.values["draft"] = [json.dumps({"w": {}, "a": [LIFE], "once": "2b8e5f4e-0d1c-4a51-9f5e-1f2f3a4b5c6d"})]
    page.values |= {"step": ["upper"], "index": ["0"], "asked": [""]}
    say = translator(language)
    assert say("The forward end") in visitor.press("check").text
    review = _reviewed(visitor)
    headings = re.findall(r"<h3>(.*?)</h3>", review)
    assert say("The forward end") in headings
    assert say("The after end") in headings
    assert say("The upper end") not in headings


def _reviewed(visitor: Visitor) -> str:
    visitor.page.buttons.append("review")
    visitor.press("review")
    assert visitor.step == "review"
    return visitor.page.html


def test_a_lifeline_with_its_links_is_one_that_can_be_read(client: FlaskClient) -> None:
    form = client.get("/v1/form?lang=en").json
    (assembly,) = request_of(form, {}, [LIFE])["assemblies"]
    assert assembly["turnbuckle"]["at"] == "lower"
    assert "mast" not in assembly
