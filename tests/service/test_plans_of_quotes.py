"""Cutting plans as their quotes' status changes: ended quotes are neither planned nor taken; wire bought for a quote is cut as its
customer pays for it."""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from shutil import copytree, ignore_patterns
from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.catalogue import DEMO_FOLDER
from pricing.rows import Wire
from pricing.stock import planning
from service.engine.engine import Engine, open_engine
from service.settings import Settings
from service.storage import Quotes
from tests.service.conftest import DAY, made_app
from tests.service.steps import accepted, settled

AT = "/v1/cutting-plans"
D = Decimal
THICK = {"tag": "THICK", "role": "pennant", "wire": {"construction": "7x19", "material": "316", "diameter": "1/2 in"}, "quantity": 1,
         "upper": {"terminal": "none", "leave": "1 m"}, "lower": {"terminal": "none", "leave": "1 m"},
         "measurement": {"readings": ["10 m", "10 m"], "support": "flat", "rig_setting": "everyday", "temperature": "20 degC"}}  # fmt: skip


def post(client: FlaskClient, path: str, body: Any, **headers: str) -> Any:
    return client.post(path, data=json.dumps(body), content_type="application/json", headers=headers)


def quote(client: FlaskClient, body: Any) -> Any:
    return post(client, "/v1/quotes", body).json


def superseded(client: FlaskClient, made: Any, body: Any) -> None:
    at = client.get(f"/v1/quotes/{made['id']}").headers["ETag"]
    assert post(client, f"/v1/quotes/{made['id']}/revisions", body, **{"If-Match": at}).status_code == 201


def ended(step: str) -> Callable[[FlaskClient, Any, Any], None]:
    def end(client: FlaskClient, made: Any, _: Any) -> None:
        at = client.get(f"/v1/quotes/{made['id']}").headers["ETag"]
        assert post(client, f"/v1/quotes/{made['id']}/{step}", {"by": "the shop"}, **{"If-Match": at}).status_code == 200

    return end


ENDS = [("superseded", superseded), ("declined", ended("decline")), ("withdrawn", ended("withdrawal"))]


@pytest.mark.parametrize(("status", "end"), ENDS, ids=[status for status, _ in ENDS])
def test_a_quote_that_came_to_an_end_is_neither_planned_nor_taken(
    client: FlaskClient, demo: dict[str, Any], status: str, end: Callable[[FlaskClient, Any, Any], None]
) -> None:
    open_one, gone = quote(client, demo), quote(client, demo)
    accepted(client, open_one)
    before = post(client, AT, {"quotes": [open_one["id"], gone["id"]]}).json
    alone = own(client, gone).json
    end(client, gone, demo)
    refused = post(client, AT, {"quotes": [open_one["id"], gone["id"]]})
    assert refused.status_code == 422
    ((pointer, code, words),) = [(each["pointer"], each["code"], each["detail"]) for each in refused.json["errors"]]
    assert (pointer, code) == ("#/quotes/1", "quote_not_open")
    assert gone["number"] in words
    assert status in words
    for plan in (before, alone):
        kept = post(client, f"{AT}/{plan['id']}/take", {})
        assert (kept.status_code, [each["code"] for each in kept.json["errors"]]) == (409, ["quote_not_open"])
        assert gone["number"] in kept.json["errors"][0]["detail"]
    assert client.get("/v1/stock").json["version"] == 0
    assert client.get(f"/v1/quotes/{open_one['id']}").json["status"] == "accepted"  # nothing was cut of the other one either


def cancelled(client: FlaskClient, made: Any) -> None:
    assert post(client, f"/v1/quotes/{made['id']}/cancellation", {"reason": "The boat was sold."}).status_code == 200


def changed(client: FlaskClient, made: Any, body: Any) -> None:
    assert post(client, f"/v1/quotes/{made['id']}/revisions", body).status_code == 201


@pytest.mark.parametrize("how", ["cancelled", "superseded"])
def test_an_accepted_quote_that_came_to_an_end_is_not_taken(client: FlaskClient, demo: dict[str, Any], how: str) -> None:
    gone = quote(client, demo)
    plan = own(client, gone).json
    accepted(client, gone)
    if how == "cancelled":
        cancelled(client, gone)
    else:
        changed(client, gone, demo)
    kept = post(client, f"{AT}/{plan['id']}/take", {})
    assert (kept.status_code, [each["code"] for each in kept.json["errors"]]) == (409, ["quote_not_open"])
    assert how in kept.json["errors"][0]["detail"]
    assert client.get("/v1/stock").json["version"] == 0


def test_an_expired_quote_is_neither_planned_nor_taken_and_one_accepted_in_time_is(
    engine: Engine, quotes: Quotes, demo: dict[str, Any]
) -> None:
    client = made_app(engine, quotes).test_client()
    made, in_time = quote(client, demo), quote(client, demo)
    plan, other = (post(client, AT, {"quotes": [each["id"]]}).json for each in (made, in_time))
    accepted(client, in_time)
    later = made_app(replace(engine, today=lambda: DAY + timedelta(days=400)), quotes).test_client()
    refused = post(later, AT, {"quotes": [made["id"]]})
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (422, "quote_not_open")
    assert "expired" in refused.json["errors"][0]["detail"]
    kept = post(later, f"{AT}/{plan['id']}/take", {})
    assert (kept.status_code, [each["code"] for each in kept.json["errors"]]) == (409, ["quote_not_open"])
    assert "expired" in kept.json["errors"][0]["detail"]
    assert post(later, AT, {"quotes": [in_time["id"]]}).status_code == 201
    assert post(later, f"{AT}/{other['id']}/take", {}).status_code == 200


def test_two_revisions_of_one_number_are_never_planned_together(client: FlaskClient, demo: dict[str, Any]) -> None:
    first = quote(client, demo)
    at = client.get(f"/v1/quotes/{first['id']}").headers["ETag"]
    second = post(client, f"/v1/quotes/{first['id']}/revisions", demo, **{"If-Match": at}).json
    refused = post(client, AT, {"quotes": [second["id"], first["id"]]})
    assert [each["code"] for each in refused.json["errors"]] == ["quote_not_open", "repeated_number"]


def test_what_is_charged_for_wire_bought_for_the_job_is_what_is_cut(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = [accepted(client, quote(client, {**demo, "assemblies": [THICK]})) for _ in range(2)]
    paid = {each["number"]: D(next(line["quantity"] for line in each["lines"] if line["rule"] == "remnant")) for each in made}
    plan = post(client, AT, {"quotes": [each["id"] for each in made]}).json
    left = {wire["for_quote"]: (D(wire["totals"]["customers"]["mm"]) / 1000).quantize(D("0.001")) for wire in plan["wires"]}
    assert left == paid
    assert D(plan["totals"]["scrap"]["mm"]) == 0
    assert [wire["notes"] for wire in plan["wires"]] == [[], []]
    objects = [use["object"] for wire in plan["wires"] for use in wire["uses"]]
    assert len(set(objects)) == len(objects) == 2
    assert post(client, f"{AT}/{plan['id']}/take", {}).json["bought"][0]["count"] == 2


def own(client: FlaskClient, made: Any) -> Any:
    return client.get(f"/v1/quotes/{made['id']}/cutting-plan")


def test_a_quote_plans_only_what_its_price_depends_on(client: FlaskClient, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """Wire bought for the job is planned for its price; the shelf is planned when the shop asks for it."""
    planned: Counter[str] = Counter()
    as_it_is = planning.plan_wire

    def noted(wire: Wire, *given: Any) -> planning.WirePlan:
        planned[wire.bought] += 1
        return as_it_is(wire, *given)

    monkeypatch.setattr(planning, "plan_wire", noted)
    made = quote(client, {**demo, "assemblies": [*demo["assemblies"], THICK]})
    assert planned == {"for_the_job": 1}
    settled(client, made)
    assert planned == {"for_the_job": 1}
    wires = own(client, made).json["wires"]
    assert planned == {"for_the_job": 2, "for_stock": len(wires) - 1}


def test_a_quotes_plan_is_made_from_the_stock_as_it_is(client: FlaskClient, demo: dict[str, Any]) -> None:
    made, other = quote(client, demo), quote(client, demo)
    first = own(client, made)
    assert (own(client, made).json, own(client, made).headers["ETag"]) == (first.json, first.headers["ETag"])
    assert client.get(f"/v1/quotes/{made['id']}/cutting-plan", headers={"If-None-Match": first.headers["ETag"]}).status_code == 304
    accepted(client, other)
    assert post(client, f"{AT}/{own(client, other).json['id']}/take", {}).status_code == 200
    second = own(client, made).json
    assert second["id"] != first.json["id"]
    accepted(client, made)
    assert post(client, f"{AT}/{second['id']}/take", {}).status_code == 200


def test_a_quote_that_ended_keeps_the_last_plan_that_was_made_of_it(client: FlaskClient, demo: dict[str, Any]) -> None:
    planned, bare = quote(client, demo), quote(client, demo)
    before = own(client, planned).json
    for each in (planned, bare):
        ended("withdrawal")(client, each, demo)
    assert own(client, planned).json == before
    refused = own(client, bare)
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "quote_not_open")
    assert bare["number"] in refused.json["detail"]


def test_the_paid_rest_is_the_customers_in_every_form(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = settled(client, quote(client, {**demo, "assemblies": [THICK]}))
    plan = post(client, AT, {"quotes": [made["id"]]}).json
    for each in (plan, own(client, made).json):
        ((wire,),) = [each["wires"]]
        assert (wire["for_quote"], wire["uses"][0]["remnant_goes_to"]) == (made["number"], "customer")
        listed, drawn = (client.get(f"{AT}/{each['id']}?format={form}").text for form in ("csv", "svg"))
        (remnant,) = [line for line in listed.splitlines() if line.startswith("remnant,")]
        assert "goes to the customer" in remnant
        assert made["number"] in remnant
        assert "scrap" not in remnant
        assert f"Bought for the job of quote {made['number']}: what is left goes to the customer" in " ".join(drawn.split())


def test_plans_are_listed_newest_first_a_page_at_a_time(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = quote(client, demo)
    first = own(client, made).json["id"]
    plans = [post(client, AT, {"quotes": [made["id"]]}).json["id"] for _ in range(3)]
    page = client.get(f"{AT}?limit=2")
    assert [each["id"] for each in page.json["plans"]] == plans[:0:-1]
    assert page.headers["Link"].startswith(f"<{AT}?limit=2&cursor=")
    following = client.get(f"{AT}?limit=2&cursor={page.json['next']}").json
    assert [(each["id"], each["quote_id"]) for each in following["plans"]] == [(plans[0], None), (first, made["id"])]
    assert following["next"] is None
    assert client.get(f"{AT}?page=2").status_code == 422


def test_a_plan_that_cuts_nothing_cannot_be_taken(client: FlaskClient) -> None:
    wire = {"construction": "1x19", "material": "316", "diameter": "3/16 in"}
    plan = post(client, AT, {"wire": wire, "pieces": [{"length": "900 m"}]}).json
    kept = post(client, f"{AT}/{plan['id']}/take", {})
    assert (kept.status_code, kept.json["errors"][0]["code"]) == (409, "nothing_to_cut")


def test_amounts_beyond_exact_planning_do_not_end_a_quote_but_refuse_its_plan(quotes: Quotes, demo: dict[str, Any], tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    copytree(DEMO_FOLDER, folder, ignore=ignore_patterns("*.py", "recipes", "__pycache__"))
    with (folder / "spools.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    with (folder / "spools.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows({**row, "price": "9999999"} for row in rows)
    client = made_app(open_engine(Settings(today=DAY, catalogue=folder)), quotes).test_client()
    for body in (demo, {**demo, "assemblies": [THICK]}):
        answer = post(client, "/v1/quotes", body)
        assert answer.status_code == 201
        refused = own(client, settled(client, answer.json))
        assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "too_large")
    assert "no-lengths-to-buy" in {each["code"] for each in answer.json["findings"]}
    refused = post(client, AT, {"quotes": [answer.json["id"]]})
    assert [(each["pointer"], each["code"]) for each in refused.json["errors"]] == [("#/quotes", "too_large")]
