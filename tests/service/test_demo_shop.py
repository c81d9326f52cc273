"""The demonstration shop's page: on this machine only, with a key created at startup that allows what a form needs from that page and
nothing else."""

from __future__ import annotations

import re
from functools import partial
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.auth.demo_key import with_shop
from service.cli import serve
from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Quotes
from service.web_form.module import lines_of_a_page
from tests.service.conftest import made_app
from tests.service.holders import bearing, kept_key

HERE = "http://127.0.0.1:8000"
OWN = {"Sec-Fetch-Site": "same-origin"}


@pytest.fixture
def key() -> str:
    return str(with_shop(Settings()).shop_key)


@pytest.fixture
def shop(engine: Engine, quotes: Quotes, key: str) -> Flask:
    return made_app(engine, quotes, shop_key=key, form_key=key, demo_key=None)


@pytest.fixture
def asked(demo: dict[str, Any]) -> dict[str, Any]:
    """The demo at the usual price list, which is all that a page may ask for."""
    return {name: value for name, value in demo.items() if name != "price_list"}


def opened(app: Flask, at: str = HERE) -> FlaskClient:
    """A browser's client at that address."""
    client = app.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    client.open = partial(client.open, base_url=at)  # type: ignore[method-assign]
    return client


def test_the_page_has_the_very_lines_that_a_shop_is_told_to_use(shop: Flask, key: str) -> None:
    page = opened(shop).get("/demo-shop?lang=en")
    assert page.status_code == 200
    assert lines_of_a_page(HERE, key).split("\n")[0] in page.text
    assert lines_of_a_page(HERE, key).split("\n")[1] in page.text
    assert "This shop is invented" in page.text
    assert "wq_secret_" not in page.text
    assert "wq_demo_" not in page.text
    assert "Set-Cookie" not in page.headers


def test_its_policy_lets_in_its_own_address_and_nothing_inline_but_its_style(shop: Flask) -> None:
    policy = opened(shop).get("/demo-shop").headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data:; style-src 'sha256-")
    assert "unsafe" not in policy


def test_it_speaks_german(shop: Flask) -> None:
    page = opened(shop).get("/demo-shop", headers={"Accept-Language": "de"})
    assert (page.headers["Content-Language"], 'lang="de"' in page.text, "Dieser Betrieb ist erfunden" in page.text) == ("de", True, True)


@pytest.mark.parametrize("host", ["evil.example:8000", "127.0.0.1:8001", "127.0.0.1"])
def test_at_another_address_there_is_no_page(shop: Flask, host: str) -> None:
    assert opened(shop, f"http://{host}").get("/demo-shop").status_code == 404


@pytest.mark.parametrize("settings", [{"shop_key": None}, {"host": "0.0.0.0"}])  # noqa: S104  # what is asked is that it is not served there
def test_without_a_key_and_beyond_this_machine_there_is_no_page(engine: Engine, quotes: Quotes, key: str, settings: dict[str, Any]) -> None:
    app = made_app(engine, quotes, **{"shop_key": key, "form_key": key, **settings})
    assert opened(app).get("/demo-shop").status_code == 404
    if "host" in settings:
        assert opened(app).get("/form").status_code == 404
        assert opened(app).get("/v1/form", headers=bearing(key, **OWN)).status_code == 401


def test_the_key_opens_what_a_form_needs_from_that_page_and_nothing_stored(shop: Flask, key: str, asked: dict[str, Any]) -> None:
    client = opened(shop)
    assert client.get("/v1/form", headers=bearing(key, **OWN)).status_code == 200
    assert client.post("/v1/quotes/preview", json=asked, headers=bearing(key, Origin=HERE)).status_code == 200
    made = client.post("/v1/quotes", json=asked, headers=bearing(key, Origin=HERE))
    assert made.status_code == 201
    assert client.get("/v1/quotes", headers=bearing(key, **OWN)).status_code == 403
    assert client.get(made.headers["Location"], headers=bearing(key, **OWN)).status_code == 403
    assert client.post("/v1/quotes", json=asked, headers=bearing(key, Origin="http://evil.example")).status_code == 403
    assert client.get("/v1/form", headers=bearing(key)).status_code == 403
    assert client.get("/form").status_code == 200


def test_a_quote_asked_for_by_a_form_comes_with_a_link_to_its_page(shop: Flask, key: str, asked: dict[str, Any]) -> None:
    client = opened(shop)
    headers = bearing(key, Origin=HERE, **{"Idempotency-Key": "one"})
    made = [client.post("/v1/quotes", json=asked, headers=headers) for _ in range(2)]
    assert made[0].headers["Link"] == made[1].headers["Link"]
    link = re.fullmatch(r'<(/v1/quotes/[^>]+)>; rel="alternate"; type="text/html"', made[0].headers["Link"])
    assert link is not None
    page = client.get(link[1])
    assert (page.status_code, page.mimetype, made[0].json["number"] in page.text) == (200, "text/html", True)
    other = client.post("/v1/quotes", json=asked, headers=bearing(key, Origin=HERE))
    assert client.get(link[1].replace(made[0].json["id"], other.json["id"])).status_code == 401


def test_a_server_is_given_no_link(engine: Engine, quotes: Quotes, asked: dict[str, Any]) -> None:
    client = opened(made_app(engine, quotes))
    made = client.post("/v1/quotes", json=asked, headers=bearing(kept_key(quotes, scopes=["quotes:write"])))
    assert (made.status_code, "Link" in made.headers) == (201, False)


def test_a_page_of_the_services_own_address_needs_that_address_bound(engine: Engine, quotes: Quotes) -> None:
    """A browser names no origin with GET to a page's own; Host tells which it is."""
    client = opened(made_app(engine, quotes))
    bound = kept_key(quotes, Kind.PUBLISHABLE, origins=[HERE])
    other = kept_key(quotes, Kind.PUBLISHABLE, origins=["http://127.0.0.1:9000"])
    assert client.get("/v1/form", headers=bearing(bound, **OWN)).status_code == 200
    assert client.get("/v1/form", headers=bearing(other, **OWN)).status_code == 403
    assert client.get("/v1/form", headers=bearing(bound, **{"Sec-Fetch-Site": "cross-site"})).status_code == 403


def test_a_place_for_the_measuring_sheet_is_named_where_there_is_one(engine: Engine, quotes: Quotes, key: str) -> None:
    app = made_app(engine, quotes, shop_key=key, form_key=key)
    there = "/form/sheet" in {each.rule for each in app.url_map.iter_rules()}
    assert ('href="/form/sheet?lang=en"' in opened(app).get("/demo-shop?lang=en").text) == there
    other = made_app(engine, quotes, shop_key=key, form_key=key)
    other.add_url_rule("/form/sheet", "one_more", lambda: "")
    assert 'href="/form/sheet?lang=en"' in opened(other).get("/demo-shop?lang=en").text


def test_the_start_makes_the_shop_while_there_is_no_other_key_and_names_its_page_first(quotes: Quotes) -> None:
    here = Settings(database_url=quotes.url)
    made = serve.with_demo_shop(here)
    assert str(made.shop_key).startswith("wq_publishable_")
    assert made.form_key == made.shop_key
    assert serve.welcome(made).startswith(f"Open {HERE}/demo-shop ")
    assert "/demo-shop" not in serve.welcome(here)
    assert serve.with_demo_shop(Settings(database_url=quotes.url, host="0.0.0.0")).shop_key is None  # noqa: S104
    kept_key(quotes, scopes=["quotes:write"])
    assert serve.with_demo_shop(here).shop_key is None
