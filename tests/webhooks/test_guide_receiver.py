"""The guide's example receiver, extracted and run: it accepts each message once, and nothing from others. Bodies conform to
openapi.yaml."""

from __future__ import annotations

import json
import re
import threading
from decimal import Decimal
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.serving import make_server

from service.engine.engine import Engine
from service.lifecycle.events import TOLD, EventType, body
from service.storage import Endpoints, Expiries, Quotes, moment
from service.webhooks.delivery import Sender
from service.webhooks.signing import spelled
from tests.batches.fleet import NDJSON, fleet, worked
from tests.service.conftest import DAY, made_app
from tests.service.contract import contract, validator
from tests.service.steps import accepted, settled
from tests.service.test_server import ROOT
from tests.webhooks.receiving import Site


def shown() -> str:
    blocks = re.findall(r"```python\n(.*?)```", (ROOT / "service" / "guides" / "webhooks.md").read_text(encoding="utf-8"), re.DOTALL)
    (found,) = [each for each in blocks if "standardwebhooks" in each]
    return str(found)


def schema_of(event: str) -> str:
    content: dict[str, Any] = contract()["webhooks"][event]["post"]["requestBody"]["content"]
    return str(content["application/json"]["schema"]["$ref"].rpartition("/")[2])


def test_the_contract_lists_the_events_and_its_examples_are_valid() -> None:
    assert set(contract()["webhooks"]) == set(TOLD)
    for event in TOLD:
        example = contract()["webhooks"][event]["post"]["requestBody"]["content"]["application/json"]["example"]
        validator(schema_of(event)).validate(example)
        assert example["type"] == event


def _to_its_end(client: FlaskClient, asked: dict[str, Any]) -> None:
    """Two quotes: settled, cut, built, failed, built again and handed over; and settled, undone, corrected and cancelled."""
    built, ended = (settled(client, client.post("/v1/quotes", json=asked).json) for _ in range(2))
    planned = client.get(f"/v1/quotes/{built['id']}/cutting-plan").json
    plan = f"/v1/cutting-plans/{planned['id']}"
    accepted(client, built)
    for step in ("take", "reversal", "take"):
        assert client.post(f"{plan}/{step}", json={}).status_code == 200
    (assembly,) = built["assemblies"]
    target = Decimal(assembly["target_length"]["mm"])
    for off in (0, 60, 0):
        finished = {"tag": assembly["tag"], "finished_length": f"{target + off} mm"}
        assert client.post(f"/v1/quotes/{built['id']}/as-built", json={"assemblies": [finished]}).status_code == 201
    assert client.post(f"/v1/quotes/{built['id']}/handover", json={}).status_code == 200
    question = client.post(f"/v1/quotes/{ended['id']}/questions", json={"words": "Which day?"}).json["questions"][0]["id"]
    told = client.post(f"/v1/quotes/{ended['id']}/questions/{question}/answer", json={"words": "Friday.", "by": "Jo Marsh"})
    assert told.status_code == 200
    accepted(client, ended)
    corrected = client.post(f"/v1/quotes/{ended['id']}/corrections", json=asked)
    assert corrected.status_code == 201, corrected.json
    at, answer = f"/v1/quotes/{corrected.json['id']}", corrected.json["settlements"][0]["id"]
    undone = {"by": "Jo Marsh", "reason": "Rang somebody else."}
    assert client.post(f"{at}/settlements/{answer}/reversal", json=undone).status_code == 200
    assert client.post(f"{at}/cancellation", json={"reason": "The boat was sold."}).status_code == 200


def test_the_receiver_of_the_readme_takes_every_event_once_and_nothing_forged(
    quotes: Quotes, engine: Engine, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    site = Site(quotes)
    endpoint, secret = site.endpoint("http://127.0.0.1:1/not-yet")
    monkeypatch.setenv("WEBHOOK_SECRET", spelled(secret))
    names: dict[str, Any] = {"__name__": "receiver"}
    exec(compile(shown(), "webhooks.md", "exec"), names)  # noqa: S102  # our own page
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
    _to_its_end(client, {**demo, "assemblies": demo["assemblies"][:1], "note": "Ring first."})
    Expiries(quotes, lambda: DAY.replace(year=DAY.year + 2)).report()
    while any(row.state == "waiting" for row in site.rows()):
        site.deliver()
        assert {row.attempts for row in site.rows()} <= {0, 1}
    live = Endpoints(quotes).live()[0]
    tested = body(EventType.TEST, moment(), {"endpoint_id": endpoint})
    assert Sender(5, private=True).send(live, "01a21202-0dfc-7812-9843-0e6a6544d0d4", tested).status == 204
    sent = {row.event for row in site.rows()}
    assert sent | {EventType.TEST} == set(TOLD)
    for row in site.rows():
        validator(schema_of(row.event)).validate(json.loads(bytes(row.body)))
    validator(schema_of(EventType.TEST)).validate(json.loads(tested))
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
