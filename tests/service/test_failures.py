"""Every failure of every origin has one body, and none shows a path, a trace or HTML."""

from __future__ import annotations

import json
import logging
import re
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask, abort
from flask.testing import FlaskClient

from pricing.errors import NoPrice, RequestError, TableError, TableFault
from service.engine.engine import Engine
from service.storage import Quotes
from tests.service.conftest import made_app


def failing(engine: Engine, quotes: Quotes, error: Exception) -> FlaskClient:
    """A client of a service whose engine fails so."""

    def fail(*_: object) -> Any:
        raise error

    return made_app(replace(engine, make=fail), quotes).test_client()


def post(client: FlaskClient, demo: dict[str, Any]) -> Any:
    return client.post("/v1/quotes", data=json.dumps(demo), content_type="application/json")


def test_an_unexpected_failure_is_500_without_its_reason_and_is_logged(
    engine: Engine, quotes: Quotes, demo: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    client = failing(engine, quotes, KeyError("secret reason"))
    with caplog.at_level(logging.ERROR, "service"):
        answer = post(client, demo)
    assert answer.status_code == 500
    assert not {word for word in (b"secret", b"Traceback", b"/") if word in answer.data.replace(b"/problems/failed", b"")}
    assert "secret reason" in caplog.text
    assert client.get("/livez").status_code == 200
    assert client.get("/v1/quotes").json["quotes"] == []


def test_an_article_without_a_price_today_is_503_by_name(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    answer = post(failing(engine, quotes, NoPrice("WIRE-X", "2026-11-25")), demo)
    assert answer.status_code == 503
    assert "WIRE-X" in answer.json["detail"]


def test_terms_that_are_not_in_force_are_503_without_the_tables_place(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    fault = TableFault("/srv/shop/terms.csv", 3, "value", "x", "y")
    answer = post(failing(engine, quotes, TableError([fault])), demo)
    assert answer.status_code == 503
    assert b"/srv" not in answer.data


def test_assemblies_that_contradict_each_other_are_422_at_their_place(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    answer = post(failing(engine, quotes, RequestError([("/assemblies/1", "odd", "make it even")])), demo)
    assert answer.status_code == 422
    assert answer.json["errors"] == [{"pointer": "#/assemblies/1", "code": "odd", "detail": "make it even"}]


def test_a_day_before_any_price_is_503_and_not_a_failure(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    from datetime import date

    answer = post(made_app(replace(engine, today=lambda: date(1999, 1, 1)), quotes).test_client(), {**demo, "price_list": "retail"})
    assert answer.status_code in (422, 503)


@pytest.mark.parametrize(
    "path",
    ["/", "/nothing", "/v1//quotes", "/v1/quotes/", "/v1/catalogue/nothing", "/v1/demo-requests/nothing", "/%00", "/v1/quotes/../../etc"],
)
def test_an_address_that_is_none_is_404(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.mimetype) == (404, "application/problem+json")
    assert answer.json["code"].startswith("unknown_")


def test_a_wrong_method_is_405_with_those_that_are_right(app: Flask, client: FlaskClient) -> None:
    methods: dict[str, set[str]] = {}
    for rule in app.url_map.iter_rules():
        methods.setdefault(rule.rule, set()).update(rule.methods or ())
    for rule_path, right in methods.items():
        path = re.sub("<uuid:[a-z_]+>", "01a21211-138e-7ff9-814a-1ce6de70983e", rule_path).replace("<kind>", "wires").replace("<name>", "x")
        path = path.replace("<number:number>", "Q-2026-000001")
        for method in {"GET", "POST", "PUT", "PATCH", "DELETE", "BREW"} - right:
            answer = client.open(path, method=method)
            assert (answer.status_code, answer.mimetype) == (405, "application/problem+json"), (method, path)
            assert right <= set(answer.headers["Allow"].split(", "))


@pytest.mark.parametrize("accept", ["text/html", "application/xml, text/*", "application/json;q=0"])
def test_an_accept_that_nothing_meets_is_406_with_what_is_offered_and_nothing_is_stored(
    client: FlaskClient, demo: dict[str, Any], accept: str
) -> None:
    answer = client.post("/v1/quotes", data=json.dumps(demo), content_type="application/json", headers={"Accept": accept})
    assert answer.status_code == 406
    assert "application/json" in answer.json["detail"]
    assert client.get("/v1/quotes").json["quotes"] == []
    assert client.get("/openapi.yaml", headers={"Accept": "application/json"}).status_code == 406


@pytest.mark.parametrize(
    "accept", ["", "*/*", "application/*", "text/html, application/json;q=0.1", "application/problem+json, application/json"]
)
def test_an_accept_that_takes_json_is_met(client: FlaskClient, accept: str) -> None:
    assert client.get("/livez", headers={"Accept": accept}).status_code == 200


def test_refusals_of_the_framework_have_the_same_body(app: Flask, client: FlaskClient) -> None:
    for status in (400, 401, 403, 408, 409, 410, 412, 414, 429, 431, 500, 501, 503):
        app.view_functions["operation.alive"] = lambda status=status: abort(status)
        with app.test_request_context("/livez"):
            answer = app.full_dispatch_request()
        assert (answer.status_code, answer.mimetype) == (status, "application/problem+json")
        assert json.loads(answer.get_data())["status"] == status


def test_a_database_that_does_not_answer_is_503_when_asked_whether_ready(engine: Engine, tmp_path: Any) -> None:
    client = made_app(engine, Quotes(f"sqlite:///{tmp_path}/none/quotes.sqlite3")).test_client()
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert str(tmp_path).encode() not in answer.data
    assert client.get("/livez").status_code == 200


def test_head_and_options_answer_without_a_body(client: FlaskClient) -> None:
    assert client.head("/v1/catalogue").data == b""
    options = client.options("/v1/quotes")
    assert (options.status_code, options.data) == (200, b"")
    assert set(options.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS", "POST"}
