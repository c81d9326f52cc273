"""Labels over HTTP: who gets them, in which form, and for which pieces."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PdfReader

from service.formats import labels as forms
from service.storage import Quotes
from tests.service.holders import link_to
from tests.service.test_access import bare


@pytest.fixture
def made(client: FlaskClient, demo: dict[str, Any]) -> Any:
    return client.post("/v1/quotes", json=demo)


@pytest.fixture
def at(made: Any) -> str:
    return f"{made.headers['Location']}/labels"


def pages(answer: Any) -> list[str]:
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf"), answer.text
    return ["".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(answer.data)).pages]


def test_a_sheet_and_a_roll_have_a_label_for_each_piece(client: FlaskClient, made: Any, at: str) -> None:
    pieces = sum(each["quantity"] for each in made.json["assemblies"])
    sheet, roll = client.get(at), client.get(f"{at}?on=roll")
    assert "".join(pages(sheet)).count(made.json["number"]) == pieces
    assert len(pages(roll)) == pieces
    assert sheet.headers["ETag"] != roll.headers["ETag"]
    assert sheet.headers["Content-Disposition"] == 'inline; filename="Q-2026-000001-1-labels-sheet-en.pdf"'
    assert client.get(at, headers={"If-None-Match": sheet.headers["ETag"]}).status_code == 304


def test_they_are_in_the_language_that_is_asked_for(client: FlaskClient, at: str) -> None:
    answer = client.get(f"{at}?on=roll&lang=de")
    assert answer.headers["Content-Language"] == "de"
    assert "Schnittlänge" in pages(answer)[0]


def test_one_assembly_has_its_own(client: FlaskClient, at: str) -> None:
    one = client.get(f"{at}?on=roll&tag=PENNANT")
    assert ["1of2" in pages(one)[0], "2of2" in pages(one)[1], len(pages(one))] == [True, True, 2]
    assert one.headers["ETag"] != client.get(f"{at}?on=roll&tag=CAP-P").headers["ETag"]


def test_what_is_settled_or_ended_changes_them(client: FlaskClient, made: Any, at: str) -> None:
    before = client.get(f"{at}?on=roll")
    assert "DONOTCUT" not in pages(before)[0]
    client.post(f"{made.headers['Location']}/withdrawal", json={})
    after = client.get(f"{at}?on=roll", headers={"If-None-Match": before.headers["ETag"]})
    assert all("DONOTCUT" in page for page in pages(after))


@pytest.mark.parametrize(
    ("query", "parameter", "code"),
    [("on=stamp", "on", "unknown_choice"), ("tag=NONE", "tag", "unknown_tag"), ("lang=xx", "lang", "unknown_language"), ("format=pdf", "format", "unknown_parameter")],
)  # fmt: skip
def test_what_has_no_meaning_is_refused(client: FlaskClient, at: str, query: str, parameter: str, code: str) -> None:
    answer = client.get(f"{at}?{query}")
    assert answer.status_code == 422
    assert [(each["parameter"], each["code"]) for each in answer.json["errors"]] == [(parameter, code)]


def test_more_than_are_made_at_once_are_refused_with_what_to_ask_for(client: FlaskClient, at: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forms, "MOST", 12)
    answer = client.get(at)
    assert (answer.status_code, answer.json["errors"][0]["code"]) == (422, "too_many_labels")
    assert client.get(f"{at}?tag=PENNANT").status_code == 200


def test_the_customers_link_does_not_open_them(app: Flask, quotes: Quotes, made: Any, at: str) -> None:
    assert bare(app).get(f"{at}?token={link_to(quotes, made.json['id'])}").status_code == 403


@pytest.mark.long
def test_the_bench_sheet_is_printed_on_one_side_or_two(client: FlaskClient, made: Any) -> None:
    at = f"{made.headers['Location']}/bench-sheet?format=pdf"
    one, two = client.get(at), client.get(f"{at}&sides=two")
    # an overview and 12 assemblies; each but the last with a blank back
    assert [len(PdfReader(io.BytesIO(each.data)).pages) for each in (one, two)] == [13, 25]
    assert one.headers["ETag"] != two.headers["ETag"]
    refused = client.get(f"{at}&sides=three")
    assert (refused.status_code, refused.json["errors"][0]["parameter"]) == (422, "sides")
