"""The bench sheet over HTTP: who may read it, in which format, from which catalogue."""

from __future__ import annotations

import base64
import hashlib
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.engine.catalogues import Catalogues, NotKept
from service.storage import Quotes
from tests.service.holders import link_to
from tests.service.test_access import bare


@pytest.fixture
def made(client: FlaskClient, demo: dict[str, Any]) -> Any:
    return client.post("/v1/quotes", json=demo)


def test_it_is_json_or_a_page_and_both_say_the_same(client: FlaskClient, made: Any) -> None:
    at = f"{made.headers['Location']}/bench-sheet"
    sheet, html = client.get(at), client.get(at, headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"})
    assert (sheet.mimetype, html.mimetype) == ("application/json", "text/html")
    assert sheet.json["quote"]["number"] == made.json["number"]
    (cap,) = (each for each in sheet.json["assemblies"] if each["tag"] == "CAP-P")
    (quoted,) = (each for each in made.json["assemblies"] if each["tag"] == "CAP-P")
    assert cap["build"]["cut_length"]["mm"] == quoted["cut_length"]["mm"]
    assert cap["build"]["cut_length"]["imperial"] in html.text
    assert html.headers["Content-Disposition"] == 'inline; filename="Q-2026-000001-1-bench-sheet-en.html"'
    assert client.get(f"{at}?format=docx").status_code == 406
    assert sheet.headers["ETag"] != html.headers["ETag"]
    assert client.get(at, headers={"If-None-Match": sheet.headers["ETag"]}).status_code == 304


def test_a_page_allows_its_own_styles_and_nothing_else(client: FlaskClient, made: Any) -> None:
    answer = client.get(f"{made.headers['Location']}/bench-sheet?format=html")
    policy = dict(each.strip().partition(" ")[::2] for each in answer.headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == policy["base-uri"] == policy["form-action"] == policy["frame-ancestors"] == "'none'"
    assert policy["img-src"] == "data:"
    styles = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    assert styles
    for style in styles:  # CSP level 3: the hash of the text between the tags
        assert f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'" in policy["style-src"]
    assert "unsafe" not in policy["style-src"]
    assert " style=" not in answer.text
    assert "<script" not in answer.text
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert not re.search(r"(src|href)=\"(?!data:image/svg)", answer.text)


def test_the_customers_link_does_not_open_it(app: Flask, quotes: Quotes, made: Any) -> None:
    token = link_to(quotes, made.json["id"])
    for name in ("json", "html"):
        answer = bare(app).get(f"{made.headers['Location']}/bench-sheet?format={name}&token={token}")
        assert (answer.status_code, answer.mimetype) == (403, "application/problem+json")


def test_a_quote_that_ended_says_do_not_cut_under_another_tag(client: FlaskClient, made: Any) -> None:
    at = f"{made.headers['Location']}/bench-sheet"
    before = client.get(at)
    client.post(f"{made.headers['Location']}/withdrawal", json={"by": "Counter"})
    after = client.get(at, headers={"If-None-Match": before.headers["ETag"]})
    assert (after.status_code, after.json["may_be_built"]) == (200, False)
    assert all(each["build"] is None for each in after.json["assemblies"])


def test_limits_are_of_the_catalogue_that_the_quote_was_made_with(client: FlaskClient, made: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    at = f"{made.headers['Location']}/bench-sheet"
    kept = client.get(at)
    assert kept.json["catalogue"] == {"version": made.json["provenance"]["catalogue"], "kept": True}

    def gone(self: Catalogues, edition: Any) -> Any:
        raise NotKept(edition)

    monkeypatch.setattr(Catalogues, "of", gone)
    without = client.get(at, headers={"If-None-Match": kept.headers["ETag"]})
    assert (without.status_code, without.json["catalogue"]["kept"]) == (200, False)
    ends = [end for each in without.json["assemblies"] if each["build"] for end in each["build"]["ends"] if end["gauge"]]
    assert {end["gauge"]["after_maximum"] for end in ends} == {None}
