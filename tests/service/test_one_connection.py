"""A request uses one database connection at a time: with a pool of one, every endpoint still responds.

The other tests of requests have a pool of one as well, on SQLite (conftest.py); here every POST is sent with a key of idempotency, by all who may, on both
databases, while keys, tables and listeners are looked up anew at every chance.
"""

from __future__ import annotations

import itertools
import json
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask

from service.auth.keyring import Keyring
from service.credentials.keys import Kind, Scope
from service.engine.engine import Engine
from service.storage import Keys, Quotes, database
from tests.service.conftest import made_app
from tests.service.holders import PAGE, bearing, kept_key
from tests.service.plain_form import Visitor, walk_to_review


@pytest.fixture
def impatient(store: Quotes, engine: Engine, monkeypatch: pytest.MonkeyPatch) -> Iterator[Flask]:
    """Over a pool of one that nobody waits for, by a clock that is an hour later at each look."""
    monkeypatch.setattr("service.storage.engines.PATIENCE_SECONDS", 1)
    monkeypatch.setattr(database, "PATIENCE_SECONDS", 1)
    over = Quotes(store.url, 1)
    later = itertools.count(0.0, 3600.0)
    app = made_app(engine, over, form_key=kept_key(store, Kind.PUBLISHABLE))
    app.extensions["keyring"].clock = lambda: next(later)
    app.extensions["catalogues"]._clock = lambda: next(later)
    over.listeners._clock = lambda: next(later)
    store.close()
    yield app
    over.close()


def small(demo: dict[str, Any]) -> dict[str, Any]:
    return {**demo, "assemblies": demo["assemblies"][:1]}


def once(key: str, **headers: str) -> dict[str, str]:
    return {**headers, "Idempotency-Key": key}


def _target(quote: Any) -> str:
    return str(quote.json["assemblies"][0]["target_length"]["mm"])


def test_every_post_with_a_key_takes_one_connection(impatient: Flask, demo: dict[str, Any], store: Quotes) -> None:
    client = impatient.test_client()
    body = small(demo)
    page = bearing(kept_key(store, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    server = bearing(kept_key(store, scopes=Scope))
    store.close()
    made = client.post("/v1/quotes", json=body, headers=once("a", **server))
    assert made.status_code == 201
    by_page = client.post("/v1/quotes", json={**body, "price_list": "retail"}, headers=once("b", **page))
    assert (by_page.status_code, "token=" in by_page.headers["Link"]) == (201, True)
    quote = made.headers["Location"]
    link = client.post(f"{quote}/links", json={}, headers=server)
    assert link.status_code == 201
    plan = client.post("/v1/cutting-plans", json={"quotes": [made.json["id"]]}, headers=once("c"))
    assert plan.status_code == 201, plan.json
    accepted = {"customer": {"name": "Pelican Reach Sailing School"}}
    assert client.post(f"{quote}/acceptance", json=accepted, headers=once("k", **{"If-Match": made.headers["ETag"]})).status_code == 200
    own = client.post(f"{plan.headers['Location']}/take", json={}, headers=once("d"))
    assert own.status_code == 200, own.json
    assert client.post(f"{plan.headers['Location']}/reversal", json={}, headers=once("e")).status_code == 200
    corrected = client.post(f"{quote}/corrections", json=body, headers=once("l"))
    assert corrected.status_code == 201, corrected.json
    quote = corrected.headers["Location"]
    revised = client.post(f"{quote}/revisions", json=body, headers=once("f"))
    assert revised.status_code == 201
    after = revised.headers["Location"]
    assert client.post(f"{after}/acceptance", json=accepted, headers=once("g", **{"If-Match": revised.headers["ETag"]})).status_code == 200
    assert client.get(f"{after}/cutting-plan").status_code == 200  # kept, and told again below when it is handed over
    finished = {"assemblies": [{"tag": body["assemblies"][0]["tag"], "finished_length": f"{_target(revised)} mm"}]}
    assert client.post(f"{after}/as-built", json=finished, headers=once("m")).json["verdict"] == "pass"
    assert client.post(f"{after}/handover", json={}, headers=once("n")).json["status"] == "handed_over"
    doubted = client.post("/v1/quotes", json={**body, "note": "Ring first."}, headers=once("o")).headers["Location"]
    (asked,) = client.get(f"{doubted}/settlements").json["open"]
    answer = {**{name: asked[name] for name in ("tag", "code", "pointer")}, "words": "Rang them.", "by": "Jo Marsh"}
    settled = client.post(f"{doubted}/settlements", json=answer, headers=once("p"))
    assert settled.status_code == 201, settled.json
    undone = f"{doubted}/settlements/{settled.json['settlements'][0]['id']}/reversal"
    assert client.post(undone, json={"by": "Jo Marsh", "reason": "Rang another."}, headers=once("q")).status_code == 200
    measured = {**answer, "measured": [{"pointer": "/assemblies/0/wire", "value": body["assemblies"][0]["wire"]}]}
    assert client.post(f"{doubted}/settlements", json=measured, headers=once("r")).json["revision"] == 2
    ended = client.post("/v1/quotes", json=body, headers=once("s"))
    at, seen = ended.headers["Location"], {"If-Match": ended.headers["ETag"]}
    assert client.post(f"{at}/acceptance", json=accepted, headers=once("t", **seen)).status_code == 200
    assert client.post(f"{at}/cancellation", json={"reason": "Sold."}, headers=once("u")).json["status"] == "cancelled"
    assert client.post(f"{by_page.headers['Location']}/decline", json={}, headers=once("h")).status_code == 200
    batch = client.post("/v1/batches", data=json.dumps(body), content_type="application/x-ndjson", headers=once("i"))
    assert batch.status_code == 202
    assert client.post("/v1/quotes", json=body, headers=once("j", Prefer="respond-async")).status_code == 202
    for address in (
        "/v1/quotes",
        quote,
        f"{quote}/events",
        f"{after}/cutting-plan",
        "/v1/stock",
        "/v1/stock/movements",
        batch.headers["Location"],
        "/readyz",
    ):
        assert client.get(address).status_code == 200, address


def test_a_form_takes_one_connection(impatient: Flask) -> None:
    client = impatient.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    visitor = Visitor(client)
    walk_to_review(visitor)
    visitor.send()
    assert visitor.answer.status_code == 303
    assert client.get(visitor.answer.headers["Location"]).status_code == 200


def test_a_thread_that_writes_reads_what_it_wrote_and_another_does_not(store: Quotes) -> None:
    """Over the connection that it has; other threads have others, and see what was there before."""
    seen: list[str | None] = []
    over = Quotes(store.url, 2)
    with over.writing() as mine, over.reading() as read, over.writing() as more:
        assert mine is read is more
        other = threading.Thread(target=lambda: seen.append(_apart(over, mine)))
        other.start()
        other.join()
    with over.reading() as read:
        assert read is not mine
    over.close()
    assert seen == ["another"]


def _apart(over: Quotes, mine: object) -> str:
    with over.reading() as read:
        return "the same" if read is mine else "another"


def test_a_link_is_signed_without_waiting_for_another_threads_look_at_the_keys(store: Quotes) -> None:
    """That one may wait for the connection that the link's transaction has."""
    now = [0.0]
    Keys(store).make_secret()
    ring = Keyring(Keys(store), clock=lambda: now[0])
    first = ring.newest_secret()
    now[0] = 60.0
    with ring._looking:
        assert ring.newest_secret() == first
