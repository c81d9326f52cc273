"""Figures of a shop, counted by hand from quotes that were made for it; their cost at 100,000 quotes is in the steps of the database."""

from __future__ import annotations

import copy
from datetime import UTC, datetime
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import Connection, text

from service.storage import Quotes
from service.storage.migrations.versions.v0022_figures import COUNTED
from service.storage.tables import quote_counts, quote_terms
from tests.service.conftest import DAY
from tests.service.steps import accepted

TODAY = DAY.isoformat()


def issued(client: FlaskClient, asked: dict[str, Any]) -> Any:
    answer = client.post("/v1/quotes", json=asked)
    assert answer.status_code == 201, answer.json
    return answer.json


def of(client: FlaskClient, **query: str) -> Any:
    answer = client.get("/v1/figures", query_string=query)
    assert answer.status_code == 200, answer.json
    return answer.json


def counted_anew(connection: Connection) -> None:
    """The rows of days are those of the entries, as a migration counts them."""
    connection.execute(quote_counts.delete())
    connection.execute(text(COUNTED))


@pytest.fixture
def small(demo: dict[str, Any]) -> dict[str, Any]:
    """The demo boat with two of its assemblies."""
    asked = copy.deepcopy(demo)
    asked["assemblies"] = asked["assemblies"][:2]
    return asked


def test_an_empty_shop_has_figures_of_nothing(client: FlaskClient) -> None:
    found = of(client)
    assert (found["from"], found["to"], found["months"]) == (f"{TODAY[:4]}-01-01", TODAY, [])
    assert set(found["quotes"].values()) == {0}
    assert found["waste"]["plans_taken"] == 0


def test_quotes_are_counted_by_what_became_of_them(client: FlaskClient, small: dict[str, Any], quotes: Quotes) -> None:
    """Seven are issued and one is revised: of seven numbers one each is accepted, declined, withdrawn, expired, and three are open."""
    made = [issued(client, small) for _ in range(7)]
    accepted(client, made[0])
    for name, quote in {"decline": made[1], "withdrawal": made[2]}.items():
        at = f"/v1/quotes/{quote['id']}"
        answer = client.post(f"{at}/{name}", json={}, headers={"If-Match": client.get(at).headers["ETag"]})
        assert answer.status_code == 200, answer.json
    with quotes.writing() as connection:
        connection.execute(text("UPDATE quote_entries SET valid_until = '2026-11-24' WHERE quote_id = :id"), {"id": made[3]["id"]})
        counted_anew(connection)
    revised = client.post(f"/v1/quotes/{made[4]['id']}/revisions", json={**small, "delivery": "collect"})
    assert revised.status_code == 201, revised.json
    found = of(client)
    assert found["quotes"] == {
        "made": 7, "open": 3, "accepted": 1, "declined": 1, "expired": 1, "withdrawn": 1, "cancelled": 0, "superseded": 1,
    }  # fmt: skip
    standing = [*made[:4], *made[5:], revised.json]
    total = sum(round(float(each["totals"]["payable"]) * 100) for each in standing)
    (month,) = found["months"]
    assert (month["month"], month["currency"], month["made"], month["accepted"]) == (TODAY[:7], "USD", 7, 1)
    assert round(float(month["value_made"]) * 100) == total
    assert month["value_accepted"] == made[0]["totals"]["payable"]
    states = [each["readiness"] for quote in standing for each in quote["assemblies"]]
    assert found["readiness"] == {name: states.count(name) for name in ("ready_to_cut", "confirm", "hold")}


def test_what_was_asked_is_counted_once_a_quote(client: FlaskClient, small: dict[str, Any], quotes: Quotes) -> None:
    for each in small["assemblies"]:
        each["measurement"]["support"] = "aboard"  # without its tension
    first, _ = issued(client, small), issued(client, small)
    codes = {each["code"] for part in (first, *first["assemblies"]) for each in part["findings"] if each["severity"] == "ask"}
    assert codes
    found = of(client)["asks"]
    assert (found["counted"], found["not_counted"]) == (2, 0)
    assert {each["code"]: each["quotes"] for each in found["codes"]} == dict.fromkeys(codes, 2)
    with quotes.writing() as connection:  # as an earlier release left them
        connection.execute(quote_terms.delete().where(quote_terms.c.term.like("code:%")))
        connection.execute(text("UPDATE quote_entries SET currency = NULL"))
        counted_anew(connection)
    found = of(client)
    assert found["asks"] == {"counted": 0, "not_counted": 2, "codes": []}
    assert (found["months"][0]["currency"], found["months"][0]["made"]) == (None, 2)


def test_only_days_of_the_time_count(client: FlaskClient, small: dict[str, Any]) -> None:
    issued(client, small)
    assert of(client, **{"from": TODAY, "to": TODAY})["quotes"]["made"] == 1
    assert of(client, **{"from": "2026-11-26", "to": "2026-12-31"})["quotes"]["made"] == 0
    assert of(client, **{"from": "2026-11-01", "to": "2026-11-24"})["quotes"]["made"] == 0


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ({"from": "yesterday"}, "from"),
        ({"to": "2026-02-30"}, "to"),
        ({"from": "2026-12-01", "to": "2026-11-01"}, "from"),
        ({"from": "2020-01-01"}, "from"),
        ({"from": "1999-12-31"}, "from"),
    ],
)
def test_a_time_that_is_none_is_refused(client: FlaskClient, query: dict[str, str], parameter: str) -> None:
    answer = client.get("/v1/figures", query_string=query)
    assert (answer.status_code, answer.json["errors"][0]["parameter"]) == (422, parameter)


def test_what_was_cut_stands_beside_what_was_priced_as_waste(client: FlaskClient, demo: dict[str, Any]) -> None:
    """The plan's own totals, and the lines of the quote whose group is waste, in metres."""
    quote = issued(client, demo)
    accepted(client, quote)
    plan = client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]})
    assert plan.status_code == 201, plan.json
    assert of(client)["waste"]["plans_taken"] == 0  # nothing is cut yet
    assert client.post(f"/v1/cutting-plans/{plan.json['id']}/take", json={}).status_code in (200, 201)
    now = datetime.now(UTC).date().isoformat()  # movements bear the clock's day
    found = of(client, to=now)["waste"]
    totals = plan.json["totals"]
    assert (found["plans_taken"], found["plans_counted"], found["quotes_counted"]) == (1, 1, 1)
    for name in ("pieces", "allowances", "scrap", "kept", "customers"):
        assert float(found[f"{name}_mm"]) == pytest.approx(float(totals[name]["mm"]))
    waste = sum(float(each["quantity"]) for each in quote["lines"] if each["group"] == "waste" and each["unit"] == "m")
    assert waste > 0
    assert float(found["priced_mm"]) == pytest.approx(waste * 1000)
    assert client.post(f"/v1/cutting-plans/{plan.json['id']}/reversal", json={}).status_code in (200, 201)
    assert of(client, to=now)["waste"]["plans_taken"] == 0
