"""Who may do what: every endpoint with every kind of key, against a table written by hand."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from service.app import create_app
from service.auth import access
from service.credentials.keys import Kind, Scope
from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Keys, Quotes
from tests.service.conftest import DAY, KEY, ContractClient, made_app
from tests.service.holders import PAGE, bearing, every_holder, kept_key, link_to

IN = "in"
# no key, revoked, its page, another page | quotes:write, quotes:read, settle, plans, operate | a link to the quote, one that reads it
TABLE = {
    "POST /v1/quotes":                         "401 401 in  403 | in  403 403 403 403 | 401 401",
    "POST /v1/quotes/preview":                 "401 401 in  403 | in  403 403 403 403 | 401 401",
    "GET /v1/quotes":                          "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/quotes/<number:number>":          "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/quotes/<uuid:quote_id>":          "401 401 403 403 | 403 in  403 403 403 | in  in",
    "GET /v1/quotes/<uuid:quote_id>/assemblies/<tag:tag>/drawing": "401 401 403 403 | 403 in  403 403 403 | in  in",
    "GET /v1/quotes/<uuid:quote_id>/rig-sheet":   "401 401 403 403 | 403 in  403 403 403 | in  in",
    "GET /v1/quotes/<uuid:quote_id>/bench-sheet": "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/labels":      "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/revisions":  "401 401 403 403 | in  403 403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/difference":  "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/acceptance": "401 401 403 403 | in  403 403 403 403 | in  in",
    "POST /v1/quotes/<uuid:quote_id>/decline":    "401 401 403 403 | in  403 403 403 403 | in  in",
    "POST /v1/quotes/<uuid:quote_id>/withdrawal": "401 401 403 403 | in  403 403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/corrections": "401 401 403 403 | in  403 403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/cancellation": "401 401 403 403 | in  403 403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/handover":   "401 401 403 403 | in  403 403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/request":    "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/settlements": "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/settlements": "401 401 403 403 | 403 403 in  403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/settlements/<uuid:settlement_id>/reversal": "401 401 403 403 | 403 403 in  403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/as-built":   "401 401 403 403 | in  403 403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/as-built":    "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/events":      "401 401 403 403 | 403 in  403 403 403 | 403 403",
    "POST /v1/quotes/<uuid:quote_id>/links":      "401 401 403 403 | in  403 403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/reply":       "401 401 403 403 | 403 in  403 403 403 | in  in",
    "POST /v1/quotes/<uuid:quote_id>/reply":      "401 401 403 403 | in  403 403 403 403 | in  in",
    "GET /v1/quotes/<uuid:quote_id>/questions":   "401 401 403 403 | 403 in  403 403 403 | in  in",
    "POST /v1/quotes/<uuid:quote_id>/questions":  "401 401 403 403 | in  403 403 403 403 | in  in",
    "POST /v1/quotes/<uuid:quote_id>/questions/<uuid:question_id>/answer": "401 401 403 403 | in  403 403 403 403 | 403 403",
    "GET /v1/quotes/<uuid:quote_id>/cutting-plan": "401 401 403 403 | 403 403 403 in  403 | 403 403",
    "GET /v1/cutting-plans":                   "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "POST /v1/cutting-plans":                  "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "GET /v1/cutting-plans/<uuid:plan_id>":    "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "POST /v1/cutting-plans/<uuid:plan_id>/take": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "POST /v1/cutting-plans/<uuid:plan_id>/reversal": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "POST /v1/batches":                        "401 401 403 403 | in  403 403 403 403 | 401 401",
    "GET /v1/batches":                         "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/batches/<uuid:batch_id>":         "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "DELETE /v1/batches/<uuid:batch_id>":      "401 401 403 403 | in  403 403 403 403 | 401 401",
    "GET /v1/batches/<uuid:batch_id>/events":  "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/batches/<uuid:batch_id>/results": "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/batches/<uuid:batch_id>/quotations": "401 401 403 403 | 403 in  403 403 403 | 401 401",
    "GET /v1/batches/<uuid:batch_id>/summary": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "GET /v1/stock": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "POST /v1/stock/counts": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "GET /v1/stock/movements": "401 401 403 403 | 403 403 403 in  403 | 401 401",
    "GET /v1/purchases/needed": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/purchases/low": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/webhooks/messages": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/quotes/<uuid:quote_id>/margin": "401 401 403 403 | 403 403 403 403 in  | 403 403",
    "GET /v1/figures": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/tables": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "POST /v1/tables": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/tables/<edition>/files": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/tables/<edition>/doubts": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/tables/<edition>/difference": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "POST /v1/tables/<edition>/effect": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "POST /v1/tables/<edition>/in-force": "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /v1/catalogue":                       "401 401 in  403 | in  in  in  in  in  | 401 401",
    "GET /v1/catalogue/<kind>":                "401 401 in  403 | in  in  in  in  in  | 401 401",
    "GET /v1/findings":                        "401 401 in  403 | in  in  in  in  in  | 401 401",
    "GET /v1/form":                            "401 401 in  403 | in  in  in  in  in  | 401 401",
    "GET /form/element.js":                    "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /v1/form/illustrations/<name>":        "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /form":                               "in  in  in  in  | in  in  in  in  in  | in  in",  # 404 where the shop serves none
    "POST /form":                              "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /form/sheet":                         "in  in  in  in  | in  in  in  in  in  | in  in",
    "POST /form/sheet":                        "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /measure":                         "in  in  in  in  | in  in  in  in  in  | in  in",  # 404 where the shop serves no form
    "GET /measure/worker.js":               "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /measure/app.js":                  "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /measure/manifest.json":           "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /measure/icon.svg":                "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /v1/measuring-sheet":                 "401 401 in  403 | in  in  in  in  in  | 401 401",
    "POST /v1/measuring-sheet":                "401 401 in  403 | in  in  in  in  in  | 401 401",
    "POST /v1/lengths":                        "401 401 in  403 | in  in  in  in  in  | 401 401",
    "POST /v1/drawings":                       "401 401 in  403 | in  in  in  in  in  | 401 401",
    "GET /v1/demo-requests":                   "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /v1/demo-requests/<name>":            "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /demo-shop":                          "in  in  in  in  | in  in  in  in  in  | in  in",  # 404 but for a start without keys
    "GET /livez":                              "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /readyz":                             "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /metrics":                            "401 401 403 403 | 403 403 403 403 in  | 401 401",
    "GET /openapi.yaml":                       "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /docs":                               "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /docs/<name>":                        "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /problems":                           "in  in  in  in  | in  in  in  in  in  | in  in",
    "GET /problems/<code>":                    "in  in  in  in  | in  in  in  in  in  | in  in",
    "POST /v1/quotes/<uuid:quote_id>/links/end":  "401 401 403 403 | in  403 403 403 403 | 401 401",  # the last: it ends the link, before that is tried
}  # fmt: skip


def bare(app: Flask) -> FlaskClient:
    """A client that sends no key of its own."""
    client = app.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return client


def addresses(app: Flask) -> set[str]:
    return {
        f"{method} {rule.rule}"
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }  # fmt: skip


def answered(client: FlaskClient, method: str, path: str, holder: Any, address: str) -> str:
    options: dict[str, Any] = {"json": {}} if method == "POST" else {}
    options["environ_overrides"] = {"REMOTE_ADDR": address}
    answer = client.open(path, method=method, headers=holder.headers, query_string=holder.query, **options)
    if answer.status_code == 401:
        assert answer.headers["WWW-Authenticate"].startswith('Bearer realm="quotes"')
    return str(answer.status_code) if answer.status_code in (401, 403) else IN


def test_every_address_lets_in_exactly_whom_the_table_names(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    assert addresses(app) == TABLE.keys()
    quote_id = app.test_client().post("/v1/quotes", json=demo).json["id"]
    holders, client = every_holder(quotes, quote_id), bare(app)
    app.extensions["keyring"]._ring = None
    for place, (address, row) in enumerate(TABLE.items()):
        method, rule = address.split()
        caller = f"192.0.2.{place + 1}"  # one for each row: wrong keys are limited by address
        path = (
            re.sub("<uuid:[a-z_]+>", quote_id, rule)
            .replace("<edition>", "0123456789abcdef-0123456789abcdef")
            .replace("<kind>", "wires")
            .replace("<name>", "fleet-sloop-wagtail")
            .replace("<tag:tag>", "CAP-P")
            .replace("<number:number>", "Q-2026-000001")
        )
        for each in (method, "HEAD") if method == "GET" else (method,):
            found = {name: answered(client, each, path, holder, caller) for name, holder in holders.items()}
            assert found == dict(zip(holders, row.replace("|", "").split(), strict=True)), (each, rule)


def test_an_endpoint_that_the_code_says_nothing_of_stops_the_start(engine: Engine, quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(access, "ACCESS", {name: requirement for name, requirement in access.ACCESS.items() if name != "quotes.listed"})
    with pytest.raises(LookupError, match=r"quotes\.listed"):
        create_app(Settings(today=DAY), engine, quotes)


def test_a_demo_key_opens_everything_and_without_one_nothing_that_is_not_public(app: Flask, engine: Engine, quotes: Quotes) -> None:
    assert app.test_client().get("/v1/quotes").status_code == 200
    assert made_app(engine, quotes, demo_key=None).test_client().get("/v1/quotes").status_code == 401


@pytest.mark.parametrize(
    "header", ["", "Bearer", "Bearer ", f"Basic {KEY}", KEY, f"Bearer {KEY}x", f"Bearer {KEY[:-1]}", "Bearer é", "Bearer " + "x" * 5000]
)
def test_what_is_no_key_is_401_and_says_how_to_get_one(app: Flask, header: str) -> None:
    answer = bare(app).get("/v1/quotes", headers={"Authorization": header})
    assert answer.status_code == 401
    assert "python -m service keys make" in answer.json["detail"]


def test_a_missing_scope_is_named(app: Flask, quotes: Quotes) -> None:
    answer = bare(app).get("/v1/quotes", headers=bearing(kept_key(quotes, scopes=[Scope.PLANS])))
    assert answer.status_code == 403
    assert "quotes:read" in answer.json["detail"]
    assert answer.json["errors"][0]["header"] == "Authorization"
    assert answer.headers["WWW-Authenticate"].endswith('scope="quotes:read"')  # RFC 6750, 3.1


def test_a_publishable_key_is_told_where_it_works(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]))
    for origin, says in (({}, "not without the header Origin"), ({"Origin": "https://other.example"}, "not from https://other.example")):
        answer = bare(app).post("/v1/quotes/preview", json=demo, headers={**page, **origin})
        assert (answer.status_code, answer.json["code"], answer.json["errors"][0]["header"]) == (403, "wrong_origin", "Origin")
        assert says in answer.json["detail"]
        assert "From a server send a secret key" in answer.json["detail"]


def test_a_browser_sees_the_usual_price_list_and_no_other(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    client = bare(app)
    assert client.get("/v1/catalogue", headers=page).json["price_lists"] == ["retail"]
    assert len(app.test_client().get("/v1/catalogue").json["price_lists"]) > 1
    for path in ("/v1/quotes", "/v1/quotes/preview"):
        refused = client.post(path, json={**demo, "price_list": "trade"}, headers=page)
        assert (refused.status_code, [each["pointer"] for each in refused.json["errors"]]) == (422, ["#/price_list"])
        assert "trade" not in refused.text
        assert client.post(path, json={**demo, "price_list": "retail"}, headers=page).status_code in (200, 201)


def test_a_link_opens_its_own_quote_until_it_expires_or_is_withdrawn(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    made, other = (app.test_client().post("/v1/quotes", json=demo).json["id"] for _ in range(2))
    linked = app.test_client().post(f"/v1/quotes/{made}/links", json={"days": 1})
    client, token = bare(app), linked.json["href"].partition("token=")[2]
    assert client.get(linked.json["href"]).headers["Cache-Control"] == "no-store"
    assert linked.json["url"] == f"http://localhost{linked.json['href']}"
    assert client.get(f"/v1/quotes/{other}?token={token}").status_code == 401
    secret_id, expires, mac = token.split(".")
    for forged in (
        f"{secret_id}.{int(expires) + 1}.{mac}",
        f"{secret_id}.{expires}.{mac[:-1]}{'A' if mac[-1] != 'A' else 'B'}",
        f"{'0' * 12}.{expires}.{mac}",
        "x",
        "",
    ):
        assert client.get(f"/v1/quotes/{made}?token={forged}").status_code == 401, forged
    assert "expired" in client.get(f"/v1/quotes/{made}?token={link_to(quotes, made, 1_700_000_000)}").json["detail"]
    Keys(quotes).make_secret(withdraw=True)
    app.extensions["keyring"]._ring = None
    assert client.get(linked.json["href"]).status_code == 401
    with quotes.reading() as connection:
        assert [
            bytes(each) for each in connection.execute(text("SELECT secret FROM link_secrets WHERE withdrawn_at IS NOT NULL")).scalars()
        ] == [b""]


def test_a_customer_accepts_by_the_link_what_was_seen(app: Flask, demo: dict[str, Any]) -> None:
    made = app.test_client().post("/v1/quotes", json=demo).json["id"]
    client = bare(app)
    token = app.test_client().post(f"/v1/quotes/{made}/links", json={}).json["href"].partition("token=")[2]
    seen = client.get(f"/v1/quotes/{made}?token={token}", headers={"Accept-Encoding": "gzip"})
    answer = client.post(
        f"/v1/quotes/{made}/acceptance?token={token}",
        json={"customer": {"name": "Asta Lindqvist"}},
        headers={"If-Match": seen.headers["ETag"]},
    )
    assert (answer.status_code, answer.json["status"]) == (200, "accepted")


def test_a_link_takes_a_number_of_days(client: ContractClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo).json["id"]
    for days in (0, 367, "7", 1.5):
        assert client.post(f"/v1/quotes/{made}/links", json={"days": days}).status_code == 422
    nobody = "01a21211-138e-7ff9-814a-1ce6de70983e"
    assert client.post(f"/v1/quotes/{nobody}/links", json={}).status_code == 404


@pytest.mark.parametrize(
    ("settings", "host", "begins"),
    [
        ({}, "localhost:8000", "http://localhost:8000/v1/"),
        ({}, "127.0.0.1:8000", "http://127.0.0.1:8000/v1/"),
        ({}, "[::1]:8000", "http://[::1]:8000/v1/"),
        ({}, "evil.example", "http://127.0.0.1:8000/v1/"),
        ({}, "localhost.evil.example:8000", "http://127.0.0.1:8000/v1/"),
        ({"base_url": "https://quotes.shop.example"}, "evil.example", "https://quotes.shop.example/v1/"),
        ({"base_url": "https://quotes.shop.example/a"}, "localhost", "https://quotes.shop.example/a/v1/"),
        ({"host": "0.0.0.0"}, "evil.example", None),  # noqa: S104
        ({"host": "0.0.0.0", "base_url": "https://quotes.shop.example"}, "evil.example", "https://quotes.shop.example/v1/"),  # noqa: S104
    ],
)
def test_a_link_begins_as_the_shop_says_and_never_as_a_request_does(
    engine: Engine, quotes: Quotes, demo: dict[str, Any], settings: dict[str, Any], host: str, begins: str | None
) -> None:
    """RFC 9110, 7.2 and 17.1: a Host is what its sender writes."""
    client = made_app(engine, quotes, **settings).test_client()
    demo["assemblies"] = demo["assemblies"][:1]
    made = client.post("/v1/quotes", json=demo).json["id"]
    linked = client.post(f"/v1/quotes/{made}/links", json={}, headers={"Host": host}).json
    assert linked.get("url") == (begins and begins.removesuffix("/v1/") + linked["href"])


def test_the_demo_key_opens_nothing_once_another_key_is_kept(engine: Engine, quotes: Quotes) -> None:
    app = made_app(engine, quotes, demo_beside_keys=False)
    now = [0.0]
    app.extensions["keyring"].clock = lambda: now[0]
    assert app.test_client().get("/v1/quotes").status_code == 200
    own = kept_key(quotes, scopes=[Scope.READ])
    now[0] += 1.0
    assert app.test_client().get("/v1/quotes").status_code == 401
    assert bare(app).get("/v1/quotes", headers=bearing(own)).status_code == 200
