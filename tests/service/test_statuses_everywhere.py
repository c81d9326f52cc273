"""The refusals and failures common to all endpoints, on each of them: formats not offered, too many requests, failures of the service
and the database, and invalid bodies."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from flask import Flask
from sqlalchemy.exc import OperationalError

from service.auth.access import ACCESS
from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.storage import Quotes
from service.storage.idempotency import StillRunning
from tests.service.conftest import made_app
from tests.service.contract import operation_at
from tests.service.holders import kept_key

SOME_ID = "01a21211-138e-7ff9-814a-1ce6de70983e"


@pytest.fixture
def app(engine: Engine, quotes: Quotes) -> Flask:
    """One that serves the plain form as well."""
    return made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE))


def addresses(app: Flask) -> list[tuple[str, str, str]]:
    """Endpoint, method and a path, of every address."""
    found = []
    for rule in app.url_map.iter_rules():
        path = re.sub("<uuid:[a-z_]+>", SOME_ID, rule.rule).replace("<kind>", "wires").replace("<name>", "fleet-sloop-wagtail")
        path = path.replace("<edition>", "0123456789abcdef-0123456789abcdef")
        path = re.sub("<[a-z]+:tag>", "CAP-P", path).replace("<number:number>", "Q-2026-000001")
        found += [(rule.endpoint, method, path) for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}]
    return found


def lists(method: str, path: str, status: int) -> bool:
    operation = operation_at(method, path)
    assert operation is not None, (method, path)
    return str(status) in operation["responses"]


def test_what_no_address_offers_is_406_on_each(app: Flask) -> None:
    for _, method, path in addresses(app):
        answer = app.test_client().open(path, method=method, headers={"Accept": "application/x-nothing"})
        assert answer.status_code == 406, (method, path, answer.status_code)


@pytest.mark.parametrize("status", [500, 503])
def test_a_failure_is_told_alike_by_each(app: Flask, status: int) -> None:
    """In place of the view: a fault of the service, and a database that stopped answering."""

    def broken(**_: Any) -> None:
        raise ZeroDivisionError if status == 500 else OperationalError("SELECT 1", {}, OSError("gone"))

    every = addresses(app)
    for endpoint, _, _ in every:
        app.view_functions[endpoint] = broken
    for _, method, path in every:
        if lists(method, path, status):
            answer = app.test_client().open(path, method=method, json={} if method == "POST" else None)
            assert answer.status_code == status, (method, path, answer.status_code)


def test_too_many_requests_are_429_on_each_that_asks_for_a_key(engine: Engine, quotes: Quotes) -> None:
    app = made_app(
        engine,
        quotes,
        rate_limits=dict.fromkeys(
            ("demo.quotes", "demo.plans", "demo.reads", "demo.drawings", "publishable.quotes", "publishable.reads"), 1
        ),
        form_key=kept_key(quotes, Kind.PUBLISHABLE),
    )
    for endpoint, method, path in addresses(app):
        answers = [app.test_client().open(path, method=method, json={} if method == "POST" else None) for _ in range(3)]
        if not ACCESS[endpoint].public:
            assert answers[-1].status_code == 429, (method, path)
            assert int(answers[-1].headers["Retry-After"]) >= 1


def test_what_is_no_body_is_refused_on_each_post(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    client = app.test_client()
    quote = client.post("/v1/quotes", json=demo)
    plan = client.get(f"{quote.headers['Location']}/cutting-plan").json["id"]
    for _, method, path in addresses(app):
        if method != "POST":
            continue
        at = path.replace(SOME_ID, plan if "cutting-plans" in path else quote.json["id"])
        headers = {"If-Match": quote.headers["ETag"]}
        media = (
            "text/csv"
            if path == "/v1/measuring-sheet"
            else "application/x-www-form-urlencoded"
            if path.endswith("/reply")
            else "application/json"
        )
        sent: list[tuple[int, dict[str, Any]]] = [
            (415, {"data": b"{}", "content_type": "text/x-none"}),
            (413, {"data": b"{", "content_type": media, "environ_overrides": {"CONTENT_LENGTH": str(10**12)}}),
            (411, {"data": b"{}", "content_type": media, "environ_overrides": {"HTTP_TRANSFER_ENCODING": "chunked"}}),
            (
                400,
                {"data": b"{", "content_type": media, "environ_overrides": {"CONTENT_LENGTH": "9"} if media != "application/json" else {}},
            ),
            (422, {"data": b'{"nothing of the kind": 1}', "content_type": media}),
        ]
        for status, options in sent:
            by_piece = (path == "/v1/batches" and status in (413, 422)) or (
                (path == "/form" and status in (400, 422)) or (path == "/form/sheet" and status in (400, 422))
            )  # read as it comes, as far as it goes
            if lists(method, path, status) and not by_piece:
                answer = client.open(at, method=method, headers=headers, **options)
                assert answer.status_code == status, (path, status, answer.status_code, answer.data[:200])


def test_a_key_whose_first_request_runs_still_is_409_on_each_post_that_takes_one(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def running(_: object) -> None:
        raise StillRunning

    monkeypatch.setattr(app.extensions["idempotency_store"], "claim", running)
    for endpoint, method, path in addresses(app):
        if method == "POST" and hasattr(app.view_functions[endpoint], "idempotent"):
            answer = app.test_client().post(path, json={}, headers={"Idempotency-Key": "one"})
            assert (answer.status_code, answer.headers["Retry-After"]) == (409, "1"), path


def test_what_the_client_has_is_304_on_each_that_has_a_tag(app: Flask, demo: dict[str, Any]) -> None:
    client = app.test_client()
    quote = client.post("/v1/quotes", json=demo)
    at, tags = quote.headers["Location"], 0
    for _, method, path in addresses(app):
        if method == "GET" and lists(method, path, 304):
            here = path.replace(f"/v1/quotes/{SOME_ID}", at)
            first = client.get(here)
            if first.status_code == 200:
                assert client.get(here, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304, here
                tags += 1
    assert tags >= 6


def test_a_document_of_no_quote_is_404(app: Flask) -> None:
    client = app.test_client()
    for _, method, path in addresses(app):
        if method == "GET" and lists(method, path, 404) and SOME_ID in path:
            assert client.get(path).status_code == 404, path


class Stalled(io.RawIOBase):
    """A body of which nothing more arrives, as the server's socket tells it."""

    def readable(self) -> bool:
        return True

    def readinto(self, _: Any) -> int:
        raise TimeoutError


def test_a_batch_that_stops_arriving_is_408(app: Flask) -> None:
    answer = app.test_client().post(
        "/v1/batches",
        data=b"{",
        content_type="application/x-ndjson",
        environ_overrides={"wsgi.input": Stalled(), "CONTENT_LENGTH": "5000", "wsgi.input_terminated": True},
    )
    assert answer.status_code == 408
