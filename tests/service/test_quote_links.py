"""How long a customer's link opens its quote, and how it is ended before."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.engine.engine import Engine, open_engine
from service.lifecycle.links import Linked, ended, ends_at, latest
from service.settings import Settings
from service.storage import Quotes
from tests.service.conftest import made_app
from tests.service.steps import accepted
from tests.service.test_access import bare
from tests.service.test_questions import at, token_of

ISSUED = datetime(2026, 11, 25, 12, tzinfo=UTC)
AUCKLAND = ZoneInfo("Pacific/Auckland")  # 13 h before UTC in summer, which begins there in September


class Shop:
    """A service whose clock a test sets; its day begins where `zone` is."""

    def __init__(self, quotes: Quotes, zone: str = "UTC") -> None:
        self.now = ISSUED
        settings: dict[str, Any] = {"today": None, "timezone": ZoneInfo(zone), "now": lambda: self.now}
        self.app = made_app(open_engine(Settings(**settings)), quotes, **settings)
        self.client, self.alone = self.app.test_client(), bare(self.app)

    def made(self, demo: dict[str, Any]) -> Any:
        return self.client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json


@pytest.fixture
def shop(quotes: Quotes) -> Shop:
    return Shop(quotes)


def test_a_link_ends_with_the_last_day_of_its_quote(shop: Shop, demo: dict[str, Any]) -> None:
    made = shop.made(demo)
    link = shop.client.post(at(made, "/links"), json={"days": 366}).json
    last = date.fromisoformat(made["valid_until"])
    after = datetime(last.year, last.month, last.day, tzinfo=UTC) + timedelta(days=1)
    assert datetime.fromisoformat(link["expires_at"]) == after
    shop.now = after - timedelta(seconds=1)
    assert shop.alone.get(link["href"]).status_code == 200
    shop.now = after
    refused = shop.alone.get(link["href"])
    assert refused.status_code == 401
    assert "last day" in refused.json["detail"]
    late = shop.client.post(at(made, "/links"), json={})
    assert (late.status_code, late.json["errors"][0]["code"]) == (409, "link_ended")


def test_the_shops_day_ends_where_the_shop_is(quotes: Quotes, demo: dict[str, Any]) -> None:
    """Summer time in Auckland: UTC+13, so its midnight is 11:00 UTC of the same day."""
    shop = Shop(quotes, "Pacific/Auckland")
    made = shop.made(demo)
    link = shop.client.post(at(made, "/links"), json={}).json
    assert link["expires_at"] == f"{made['valid_until']}T11:00:00Z"
    shop.now = datetime.fromisoformat(f"{made['valid_until']}T10:59:59Z")
    assert shop.alone.get(link["href"]).status_code == 200
    shop.now += timedelta(seconds=1)
    assert shop.alone.get(link["href"]).status_code == 401


def test_an_accepted_quote_is_read_for_a_year_and_decides_nothing(shop: Shop, demo: dict[str, Any]) -> None:
    made = shop.made(demo)
    short, long = (shop.client.post(at(made, "/links"), json=each).json["href"] for each in ({"days": 40}, {}))
    token = long.partition("?")[2]
    accepted(shop.client, made)
    at_once = datetime.now(UTC)  # events have the machine's own time
    tag = shop.alone.get(long).headers["ETag"]
    yes = {"customer": {"name": "Asta Lindqvist"}}
    assert shop.alone.post(f"{at(made, '/acceptance')}?{token}", json=yes, headers={"If-Match": tag}).status_code == 409
    assert shop.alone.post(f"{at(made, '/decline')}?{token}", json={}).status_code == 409
    shop.now = ISSUED + timedelta(days=39)
    assert (shop.alone.get(short).status_code, shop.alone.get(long).status_code) == (200, 200)
    shop.now = ISSUED + timedelta(days=40)
    assert (shop.alone.get(short).status_code, shop.alone.get(long).status_code) == (401, 200)
    shop.now = at_once + timedelta(days=364)
    assert shop.alone.get(long).status_code == 200
    shop.now = at_once + timedelta(days=366)
    assert shop.alone.get(long).status_code == 401


@pytest.mark.parametrize(
    ("linked", "end", "most"),  # by hand: a last day is inclusive; 2027 has 365 days, so a year after 31 December is 31 December
    [
        (Linked("2026-12-31", None, 0), "2027-01-01T00:00:00+00:00", "2028-01-01T00:00:00+00:00"),
        (Linked("2026-12-31", "2026-12-24T09:30:00.000Z", 3), "2027-12-24T09:30:00+00:00", "2028-01-01T00:00:00+00:00"),
    ],
)
def test_when_links_end(linked: Linked, end: str, most: str) -> None:
    assert (ends_at(linked, UTC).isoformat(), latest(linked, UTC).isoformat()) == (end, most)
    then = datetime.fromisoformat(end)
    for moment, over in ((then - timedelta(seconds=1), False), (then, True)):
        assert ended(linked, moment.date(), moment) is over


def test_the_links_to_one_quote_are_ended_and_no_others(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    one, other = (client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json for _ in range(2))
    alone = bare(app)
    first, second, its = token_of(client, one), token_of(client, one, days=3), token_of(client, other)
    assert alone.post(f"{at(one, '/links/end')}?{first}", json={}).status_code == 403  # it takes a key
    done = client.post(at(one, "/links/end"), json={"by": "Jo Marsh"})
    assert (done.status_code, done.json["quote_id"]) == (200, one["id"])
    for token in (first, second):
        refused = alone.get(f"{at(one, '')}?{token}")
        assert refused.status_code == 401
        assert "ended this link" in refused.json["detail"]
        assert alone.post(f"{at(one)}?{token}", json={"words": "Why?"}).status_code == 401
    assert alone.get(f"{at(other, '')}?{its}").status_code == 200
    fresh = token_of(client, one)
    assert alone.get(f"{at(one, '')}?{fresh}").status_code == 200
    secret_id, expires, generation, mac = fresh.removeprefix("token=").split(".")
    for forged in (f"{secret_id}.{expires}.{int(generation) + 1}.{mac}", f"{secret_id}.{expires}.{mac}"):
        assert alone.get(f"{at(one, '')}?token={forged}").status_code == 401
    assert alone.get(f"{at(other, '')}?{fresh}").status_code == 401
    assert client.post(at(one, "/links/end"), json={}).status_code == 200
    assert alone.get(f"{at(one, '')}?{fresh}").status_code == 401
    said = [(each["type"], each["by"]) for each in client.get(at(one, "/events")).json["events"]]
    assert said[1:] == [("quote.links_ended", "Jo Marsh"), ("quote.links_ended", None)]
    assert client.get(at(one, "")).headers["ETag"] == client.get(at(one, "")).headers["ETag"]


def test_links_are_ended_on_both_databases(store: Quotes, engine: Engine, demo: dict[str, Any]) -> None:
    app = made_app(engine, store)
    client, alone = app.test_client(), bare(app)
    made = client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json
    before = token_of(client, made)
    assert client.post(at(made, "/links/end"), json={}).status_code == 200
    assert [alone.get(f"{at(made, '')}?{each}").status_code for each in (before, token_of(client, made))] == [401, 200]
    nobody = "01a21211-138e-7ff9-814a-1ce6de70983e"
    assert client.post(f"/v1/quotes/{nobody}/links/end", json={}).status_code == 404
