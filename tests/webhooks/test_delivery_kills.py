"""kill -9 of the workers while messages are delivered: nothing is lost, and duplicates have the same id. Meanwhile the server goes on
quoting."""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

import pytest

from service.storage import Endpoints, Quotes, migrate
from service.webhooks.signing import new_secret
from tests.batches.under_fire import NDJSON, Site, fleet, kill_all
from tests.service.conftest import DAY
from tests.service.test_kills import emptied
from tests.service.test_server import call
from tests.webhooks.receiving import Handler, Receiver, receiver, says

pytestmark = [pytest.mark.skipif(sys.platform != "linux", reason="finds workers in /proc"), pytest.mark.long]
BOATS = 60


def slowly(made: Receiver, request: Handler) -> None:
    time.sleep(0.05)
    says(204)(made, request)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_killed_workers_lose_no_message(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/q.sqlite3" if kind == "sqlite" else emptied(request.getfixturevalue("postgres"))
    store = Quotes(url, 2)
    migrate(store.engine())
    with receiver(slowly) as shop:
        Endpoints(store).add(shop.url, ["quote.issued", "batch.completed"], new_secret(), DAY)
        site = Site(tmp_path, url)
        site.settings |= {"SERVICE_WEBHOOK_PRIVATE": "yes", "SERVICE_WEBHOOK_SECONDS": "2"}
        site.start()
        assert call(site.port, "POST", "/v1/batches", fleet(BOATS), NDJSON)[0] == 202
        harmed, until = 0, time.monotonic() + 180
        while len(set(shop.ids())) < BOATS + 1 or harmed < 3:
            assert time.monotonic() < until, (len(set(shop.ids())), harmed, site.said())
            if harmed < 3 and len(set(shop.ids())) >= (5, 20, 40)[harmed]:
                kill_all(site)
                harmed += 1
            time.sleep(0.02)
        time.sleep(0.5)
        metrics = call(site.port, "GET", "/metrics")[2].decode()
        site.stop()
    told = {message["data"]["id"]: headers["webhook-id"] for message, (_, headers, _) in zip(shop.said(), shop.got, strict=True)}
    created = {each["data"]["id"] for each in shop.said() if each["type"] == "quote.issued"}
    assert created == {each.id for each in store.page(1000)}
    assert len(created) == BOATS
    assert len(told) == len(set(told.values())) == BOATS + 1  # each thing under one id, however often it came
    assert len({(each["type"], json.dumps(each["data"])) for each in shop.said()}) == BOATS + 1
    assert 'quotes_webhook_attempts_total{event="quote.issued",outcome="delivered"}' in metrics
    assert not set(site.said().split()) & {"Traceback"}
    store.close()
