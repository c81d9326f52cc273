"""Slips that a web developer makes, one a line of `bad_requests.ndjson`, with the words of the answer that name the slip and its remedy.

`change` and `drop` are made to the demo request by JSON Pointer, `body`, `raw` and `type` stand in its place, `announced` is a Content-Length, and a
header of `null` is not sent. What stands in braces is of a quote that was issued before. `says` is what a reader who did not write the answers
looked for in them.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.http.too_large import LESS

SLIPS: list[dict[str, Any]] = [json.loads(line) for line in Path(__file__).with_name("bad_requests.ndjson").read_text("utf-8").splitlines()]


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


def changed(document: dict[str, Any], pointer: str, *value: Any) -> None:
    """Put a value at a JSON Pointer; without a value, take out what is there."""
    at: Any = document
    *way, last = pointer.split("/")[1:]
    for step in way:
        at = at[int(step)] if isinstance(at, list) else at[step]
    if value:
        (at[last],) = value
    else:
        del at[last]


def issued(client: FlaskClient, demo: dict[str, Any]) -> dict[str, str]:
    """What stands for the names in braces."""
    made = client.post("/v1/quotes", json=demo)
    tag = made.headers["ETag"].strip('"')
    return {"id": made.json["id"], "number": made.json["number"], "bare": tag, "start": tag.partition("-")[0]}


def sent(client: FlaskClient, demo: dict[str, Any], slip: dict[str, Any], named: dict[str, str]) -> TestResponse:
    """The answer to a slip; `named`: what stands for the names in braces."""

    def of_the_quote(text: str) -> str:
        for name, value in named.items():
            text = text.replace(f"{{{name}}}", value)
        return text

    method, path = slip["send"].split(" ")
    for pointer, value in slip.get("change", {}).items():
        changed(demo, pointer, value)
    for pointer in slip.get("drop", []):
        changed(demo, pointer)
    body = slip.get("raw", json.dumps(slip.get("body", demo)))
    length = slip.get("announced", len(body))
    options = {} if method == "GET" else {"data": body, "content_type": slip.get("type", "application/json")}
    headers = {name: of_the_quote(value or "") for name, value in slip.get("headers", {}).items()}
    environ = {} if method == "GET" else {"CONTENT_LENGTH": str(length)}
    return client.open(of_the_quote(path), method=method, headers=headers, environ_overrides=environ, **options)


@pytest.mark.parametrize("slip", SLIPS, ids=[each["slip"] for each in SLIPS])
def test_the_answer_names_the_slip_and_its_remedy(client: FlaskClient, demo: dict[str, Any], slip: dict[str, Any]) -> None:
    of_a_quote = any("{" in (each or "") for each in (slip["send"], *slip.get("headers", {}).values()))
    answer = sent(client, demo, slip, issued(client, demo) if of_a_quote else {})
    assert answer.status_code == slip["status"], answer.text
    told = answer.json["detail"]
    if "at" in slip:
        (fault,) = answer.json["errors"]
        assert slip["at"] in (fault.get("pointer"), fault.get("parameter"), fault.get("header"))
        told = fault["detail"]
    assert [words for words in slip["says"] if words not in told] == []


def test_each_address_that_says_what_to_send_less_of_is_one(app: Flask) -> None:
    taken = {each.rule for each in app.url_map.iter_rules() if "POST" in (each.methods or ())}
    assert LESS.keys() <= taken
