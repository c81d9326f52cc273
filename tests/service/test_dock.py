"""The page for the dock as the service serves it: to whom, under which policy, and what its worker keeps."""

from __future__ import annotations

import gzip
import json
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.measuring_page import module, texts
from service.measuring_page.module import OWN, OWN_PARTS
from service.storage import Quotes
from service.web_form import element_texts
from tests.service.conftest import made_app
from tests.service.holders import kept_key

HERE = "http://localhost"


@pytest.fixture
def key(quotes: Quotes) -> str:
    return kept_key(quotes, Kind.PUBLISHABLE, origins=[HERE])


@pytest.fixture
def bound(engine: Engine, quotes: Quotes, key: str) -> FlaskClient:
    """A client of a service whose form's key is bound to its own address."""
    client = made_app(engine, quotes, form_key=key).test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return client


def test_it_is_served_where_the_form_is_and_its_key_works_from_here(bound: FlaskClient, key: str, engine: Engine, quotes: Quotes) -> None:
    page = bound.get("/measure?lang=en")
    assert (page.status_code, page.headers["Content-Language"]) == (200, "en")
    assert f'key="{key}"' in page.text
    assert f'service="{HERE}"' in page.text
    assert "Set-Cookie" not in page.headers
    without = made_app(engine, quotes, form_key=None).test_client()
    elsewhere = made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE, origins=["https://shop.example"])).test_client()
    for client in (without, elsewhere):
        for path in ("/measure", "/measure/worker.js"):
            assert client.get(path).status_code == 404
    assert f"not bound to {HERE}" in elsewhere.get("/measure").json["detail"]
    refused = elsewhere.get("/measure", headers={"Accept": "text/html", "Accept-Language": "de"})
    assert (refused.status_code, refused.mimetype, "Hier ist kein Formular" in refused.text) == (404, "text/html", True)


def test_its_policy_lets_in_its_own_address_alone_and_nothing_inline_but_its_style(bound: FlaskClient) -> None:
    page = bound.get("/measure")
    policy = dict(each.strip().split(" ", 1) for each in page.headers["Content-Security-Policy"].split(";"))
    style = policy.pop("style-src")
    assert re.fullmatch(r"'sha256-[A-Za-z0-9+/=]{44}'", style)
    assert policy == {
        "default-src": "'none'", "script-src": "'self'", "worker-src": "'self'", "connect-src": "'self'", "img-src": "'self'", "manifest-src": "'self'",
        "base-uri": "'none'", "form-action": "'none'", "frame-ancestors": "'none'",
    }  # fmt: skip
    assert re.findall(r"<script(?![^>]* src=)|\son[a-z]+=|style=", page.text) == []


def test_the_worker_reaches_no_further_than_the_page_and_fetches_from_here_alone(bound: FlaskClient) -> None:
    answer = bound.get("/measure/worker.js")
    assert (answer.status_code, answer.mimetype) == (200, "text/javascript")
    assert answer.headers["Service-Worker-Allowed"] == "/measure"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; connect-src 'self'"
    assert answer.headers["Cache-Control"] == "no-cache"


def kept_by(client: FlaskClient) -> dict[str, Any]:
    """The constants in the worker's first lines."""
    lines = client.get("/measure/worker.js").text.split("\n")[:4]
    return {name: json.loads(value) for name, value in (re.fullmatch(r"const ([A-Z]+) = (.*);", line).groups() for line in lines)}  # type: ignore[union-attr]


def test_all_that_the_worker_keeps_is_there_without_a_key_and_is_nobodys(bound: FlaskClient) -> None:
    named = kept_by(bound)
    assert {"/measure?lang=en", "/measure?lang=de", f"/measure/app.js?v={module.version()}"} <= set(named["SHELL"])
    assert all(each.startswith("/measure") for each in named["SHELL"])
    assert all(re.fullmatch(r"/v1/form/illustrations/[a-z_-]+\?lang=(en|de)", each) for each in named["PICTURES"])
    for each in (*named["SHELL"], *named["PICTURES"]):
        answer = bound.get(each)
        assert answer.status_code == 200, each
        assert answer.headers.get("Cache-Control") != "no-store", each
    page = bound.get("/measure?lang=en").text
    used = re.findall(r'(?:src|href)="(/measure[^"]*)"', page)
    assert used
    assert set(used) <= {*named["SHELL"], "/measure?lang=en", "/measure?lang=de"}


def test_another_content_is_another_version(bound: FlaskClient, engine: Engine, quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    first = kept_by(bound)["VERSION"]
    assert kept_by(bound)["VERSION"] == first
    other = made_app(engine, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE, origins=[HERE])).test_client()
    assert kept_by(other)["VERSION"] != first
    monkeypatch.setattr(module, "module", lambda: b"another script")
    assert kept_by(bound)["VERSION"] != first


def test_the_script_is_the_elements_with_its_own_parts_and_writes_no_html(app: Flask) -> None:
    client = app.test_client()
    plain, coded = client.get("/measure/app.js"), client.get("/measure/app.js", headers={"Accept-Encoding": "gzip"})
    assert gzip.decompress(coded.data) == plain.data == module.module()
    assert len(coded.data) <= 42_000  # bytes: the element's 35,000, and a fifth more for the work
    assert {path.stem for path in OWN.glob("*.js")} == {*OWN_PARTS, "worker"}
    own = " ".join((OWN / f"{name}.js").read_text(encoding="utf-8") for name in (*OWN_PARTS, "worker"))
    assert re.findall(r"innerHTML|outerHTML|insertAdjacentHTML|\beval\(|new Function|document\.write|document\.cookie|\.style\b", own) == []
    assert "immutable" in client.get(f"/measure/app.js?v={module.version()}").headers["Cache-Control"]
    assert client.get("/measure/app.js?v=0").headers["Cache-Control"] == "public, no-cache"


def test_every_text_is_said_in_german_and_none_is_said_in_vain() -> None:
    german = texts.texts("de")
    assert [name for name, text in texts.TEXTS.items() if german[name] == text] == []
    own = " ".join((OWN / f"{name}.js").read_text(encoding="utf-8") for name in OWN_PARTS)
    used = set(re.findall(r"texts\.(dock[A-Za-z]+)", own))
    assert used == {name for name in texts.TEXTS if name.startswith("dock")}
    assert {name for name in texts.TEXTS if not name.startswith("dock")} <= element_texts.TEXTS.keys()


def test_it_can_be_installed_in_either_language_with_the_projects_own_icon(bound: FlaskClient) -> None:
    """W3C Web Application Manifest: the start lies within the scope, and each icon says its type."""
    for language, name in (("en", "Measure wires on the dock"), ("de", "Drähte am Steg messen")):
        said = bound.get(f"/measure/manifest.json?lang={language}")
        found = json.loads(said.data)
        assert (said.mimetype, found["name"], found["lang"]) == ("application/manifest+json", name, language)
        assert found["start_url"].startswith(found["scope"])
        assert (found["id"], found["display"]) == ("/measure", "standalone")
        assert bound.get(found["icons"][0]["src"]).mimetype == found["icons"][0]["type"] == "image/svg+xml"
    assert bound.get("/measure/manifest.json?lang=xx").status_code == 422
