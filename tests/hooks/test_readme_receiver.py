"""The receiver that README.md shows, taken out of it and run: it takes what is told, once, and nothing that others send. Bodies keep to openapi.yaml."""

from __future__ import annotations

import json
import re
import threading
from typing import Any

import pytest
from werkzeug.serving import make_server

from service.engine import Engine
from service.hooks.courier import Sender
from service.hooks.events import Event, body
from service.hooks.signing import spelled
from service.storage import Endpoints, Expiries, Quotes, moment
from tests.hooks.receiving import Site
from tests.jobs.fleet import NDJSON, fleet, worked
from tests.service.conftest import DAY, made_app
from tests.service.contract import contract, validator
from tests.service.test_server import ROOT


def shown() -> str:
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    (found,) = [each for each in blocks if "standardwebhooks" in each]
    return str(found)


def schema_of(event: str) -> str:
    content: dict[str, Any] = contract()["webhooks"][event]["post"]["requestBody"]["content"]
    return str(content["application/json"]["schema"]["$ref"].rpartition("/")[2])


def test_the_contract_lists_the_events_and_its_examples_are_valid() -> None:
    assert set(contract()["webhooks"]) == set(Event)
    for event in Event:
        example = contract()["webhooks"][event]["post"]["requestBody"]["content"]["application/json"]["example"]
        validator(schema_of(event)).validate(example)
        assert example["type"] == event


def test_the_receiver_of_the_readme_takes_every_event_once_and_nothing_forged(
    quotes: Quotes, engine: Engine, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    site = Site(quotes)
    endpoint, secret = site.endpoint("http://127.0.0.1:1/not-yet")
    monkeypatch.setenv("WEBHOOK_SECRET", spelled(secret))
    names: dict[str, Any] = {"__name__": "receiver"}
    exec(compile(shown(), "README.md", "exec"), names)  # noqa: S102  # our own page
    server = make_server("127.0.0.1", 0, names["app"], threaded=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    with quotes.engine().begin() as connection:
        connection.exec_driver_sql(f"UPDATE webhook_endpoints SET url = 'http://127.0.0.1:{server.server_port}/hook'")  # noqa: S608  # a number
    app = made_app(engine, quotes)
    client = app.test_client()
    made = [client.post("/v1/quotes", json=demo) for _ in range(4)]
    accepted = {"customer": {"name": "Asta Lindqvist"}}
    client.post(f"/v1/quotes/{made[0].json['id']}/acceptance", json=accepted, headers={"If-Match": made[0].headers["ETag"]})
    client.post(f"/v1/quotes/{made[1].json['id']}/decline", json={})
    client.post(f"/v1/quotes/{made[2].json['id']}/withdrawal", json={})
    client.post(f"/v1/quotes/{made[3].json['id']}/revisions", json=demo)
    client.post("/v1/batches", data=fleet(1), content_type=NDJSON)
    worked(app, quotes)
    Expiries(quotes, lambda: DAY.replace(year=DAY.year + 2)).tell()
    while any(row.state == "waiting" for row in site.rows()):
        site.deliver()
        assert {row.attempts for row in site.rows()} <= {0, 1}
    live = Endpoints(quotes).live()[0]
    tested = body(Event.TEST, moment(), {"endpoint": endpoint})
    assert Sender(5, private=True).send(live, "01a21202-0dfc-7812-9843-0e6a6544d0d4", tested).status == 204
    sent = {row.event for row in site.rows()}
    assert sent | {Event.TEST} == set(Event)
    for row in site.rows():
        validator(schema_of(row.event)).validate(json.loads(bytes(row.body)))
    validator(schema_of(Event.TEST)).validate(json.loads(tested))
    again, count = site.rows()[0], len(names["seen"])
    assert count == len(site.rows()) + 1
    assert Sender(5, private=True).send(live, again.id, bytes(again.body)).status == 204  # a second time
    assert len(names["seen"]) == count
    forged = live._replace(secrets=(b"not the secret of this endpoint!",))
    assert Sender(5, private=True).send(forged, "another", tested).status == 400
    assert len(names["seen"]) == count
    assert "quote.accepted" in capsys.readouterr().out
    server.shutdown()
    server.server_close()
    site.courier.close()
