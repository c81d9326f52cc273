"""What to buy, and what a quote leaves, over the API and by the commands."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask import Flask
from flask.testing import FlaskClient
from msgspec.structs import replace

from pricing.catalogue import DEMO_FOLDER
from pricing.document import read
from pricing.model import AcceptedBy, Settlement
from pricing.purchasing import wire as wire_room
from service.engine.catalogues import files_of
from service.engine.engine import Engine
from service.quotes import purchases
from service.storage import Editions, Quotes
from tests.batches.fleet import NDJSON, boat, ndjson, worked
from tests.documents import quotes as papers
from tests.service.conftest import Command
from tests.service.steps import accepted, settled

NEEDED = "/v1/purchases/needed"
NOBODY = "01a21211-138e-7ff9-814a-1ce6de70983e"
Json = dict[str, Any]


def issued(client: FlaskClient, request: Json) -> Json:
    made: Json = client.post("/v1/quotes", json=request).json
    return made


def lines(document: Json) -> list[Json]:
    return [line for order in document["suppliers"] for line in order["lines"]]


def pieces(document: Json) -> Counter[str]:
    """Pieces that quotes need, by article."""
    found = [each for each in (*lines(document), *document["without_supplier"]) if each["unit"] == "each"]
    return Counter({each["sku"]: int(each["needed"]) for each in found})


def refused(client: FlaskClient, query: Json) -> tuple[int, str, str]:
    answer = client.get(NEEDED, query_string=query)
    fault = answer.json["errors"][0]
    return answer.status_code, fault.get("parameter", fault.get("pointer")), fault["code"]


def test_the_parts_of_an_accepted_quote_are_those_of_its_bill_and_wire_is_bought_or_cut_off_the_shelf(
    client: FlaskClient, demo: Json
) -> None:
    quote = accepted(client, issued(client, demo))
    found = client.get(NEEDED).json
    bill = {each["sku"]: each for each in quote["bill_of_materials"] if not each["kept"]}
    assert pieces(found) == {sku: int(each["quantity"]) for sku, each in bill.items() if each["unit"] == "each"}
    wire = {each["sku"]: Decimal(each["needed"]) for each in found["wires"] if each["needed"] != "0.000"}
    assert wire.keys() == {sku for sku, each in bill.items() if each["unit"] == "m"}
    plan = client.get(f"/v1/quotes/{quote['id']}/cutting-plan").json
    shelf = {each["id"] for each in client.get("/v1/stock").json["rows"]}
    bought = Counter(each["wire"]["sku"] for each in plan["wires"] for use in each["uses"] if use["stock"] not in shelf)
    assert bought
    assert {each["sku"]: each["packs"] for each in lines(found) if each["unit"] == "m" and "quotes" in each["reasons"]} == bought
    assert [each["number"] for each in found["quotes"]] == [quote["number"]]


def test_articles_that_the_shop_added_by_their_numbers_are_bought_too(client: FlaskClient, demo: Json) -> None:
    plain = issued(client, demo)
    more = issued(client, {**demo, "extra_articles": [{"sku": "PIN-5-16IN-G3-4IN", "quantity": "3"}]})
    one, other = (pieces(client.get(NEEDED, query_string={"quotes": each["id"]}).json) for each in (plain, more))
    assert other - one == {"PIN-5-16IN-G3-4IN": 3}


def test_a_quote_that_is_not_accepted_is_bought_for_where_it_is_named(client: FlaskClient, demo: Json) -> None:
    quote = issued(client, demo)
    assert pieces(client.get(NEEDED).json) == {}
    settled(client, quote)
    found = client.get(NEEDED, query_string={"quotes": quote["id"].upper()}).json
    assert pieces(found)
    assert [each["ready_by"] for each in found["quotes"]] == [None]
    assert {each["order_by"] for each in lines(found)} == {None}


def test_what_asks_something_is_named_and_not_bought_for(client: FlaskClient, demo: Json) -> None:
    cap = {**demo["assemblies"][0], "note": "The old one was too long."}  # written words wait for somebody to read them
    quote = issued(client, {**demo, "assemblies": [cap]})
    asked = client.get(f"/v1/quotes/{quote['id']}/settlements").json["open"]
    assert asked
    at = f"/v1/quotes/{quote['id']}/acceptance"
    words = {"customer": {"name": "Asta Lindqvist"}, "open": "as_listed", "understood": "I know what is open."}
    taken = client.post(at, json=words, headers={"If-Match": client.get(f"/v1/quotes/{quote['id']}").headers["ETag"]})
    assert taken.status_code == 200, taken.json
    found = client.get(NEEDED).json
    assert [(each["quote"], each["reason"]) for each in found["left_out"]] == [(quote["number"], "not_ready")]
    assert pieces(found) == {}


def test_what_is_cut_is_no_longer_bought_for(client: FlaskClient, demo: Json) -> None:
    quote = accepted(client, issued(client, demo))
    plan = client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}).json
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={}).status_code == 200
    found = client.get(NEEDED).json
    assert (pieces(found), found["quotes"]) == ({}, [])
    named = client.get(NEEDED, query_string={"quotes": quote["id"]}).json
    assert pieces(named) == {}
    assert {each["reason"] for each in named["left_out"]} == {"already_cut"}


def test_a_batch_names_its_quotes_and_those_that_are_over_are_told(client: FlaskClient, app: Flask, quotes: Quotes) -> None:
    made = client.post("/v1/batches", data=ndjson(boat("ONE"), boat("TWO")), content_type=NDJSON)
    worked(app, quotes)
    one, two = (each["id"] for each in client.get("/v1/quotes").json["quotes"])
    for each in (one, two):
        settled(client, client.get(f"/v1/quotes/{each}").json)
    both = pieces(client.get(NEEDED, query_string={"batch": made.json["id"]}).json)
    assert client.post(f"/v1/quotes/{one}/withdrawal", json={}).status_code == 200
    found = client.get(NEEDED, query_string={"batch": made.json["id"]}).json
    assert [(each["id"], each["status"]) for each in found["ended"]] == [(one, "withdrawn")]
    assert both == Counter({sku: 2 * many for sku, many in pieces(found).items()})


def test_what_cannot_be_asked_for_is_refused_with_the_remedy(client: FlaskClient, demo: Json) -> None:
    quote = issued(client, demo)
    many = ",".join([NOBODY.replace("-", "")] * 101)
    for query, expected in (
        ({"quotes": "Q-2026-000001"}, (422, "quotes", "not_an_id")),
        ({"quotes": NOBODY}, (422, "quotes", "unknown_quote")),
        ({"quotes": many}, (422, "quotes", "too_many")),
        ({"batch": NOBODY}, (422, "batch", "unknown_batch")),
        ({"batch": "x"}, (422, "batch", "not_an_id")),
        ({"batch": NOBODY, "quotes": quote["id"]}, (422, "quotes", "not_both")),
        ({"format": "ubl"}, (422, "supplier", "required")),
        ({"supplier": "Tidewater Wire (invented)"}, (422, "supplier", "not_with_this_format")),
        ({"format": "ubl", "supplier": "Nobody"}, (422, "supplier", "unknown_supplier")),
        ({"format": "pdf"}, (406, "format", "not_acceptable")),
        ({"quote": NOBODY}, (422, "quote", "unknown_parameter")),
    ):
        assert refused(client, query) == expected
    assert client.get(f"/v1/quotes/{NOBODY}/margin").status_code == 404


def test_more_than_one_list_covers_is_refused(client: FlaskClient, demo: Json, monkeypatch: pytest.MonkeyPatch) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    for _ in range(2):
        accepted(client, issued(client, demo))
    monkeypatch.setattr(purchases, "MOST_QUOTES", 1)
    assert refused(client, {}) == (422, "#", "too_many_quotes")
    monkeypatch.undo()
    monkeypatch.setattr(wire_room, "MOST_PIECES", 1)
    assert refused(client, {}) == (422, "#", "too_many_pieces")


def test_the_list_and_the_order_say_what_the_json_says(client: FlaskClient, demo: Json) -> None:
    accepted(client, issued(client, demo))
    found = client.get(NEEDED).json
    listed = client.get(NEEDED, headers={"Accept": "text/csv"})
    assert listed.headers["Content-Disposition"] == 'attachment; filename="what-to-buy-2026-11-25.csv"'
    rows = list(csv.DictReader(io.StringIO(listed.data.decode("utf-8-sig"))))
    ordered = [(each["supplier"], each["order_number"], each["packs"], each["cost"]) for each in rows if each["entry"] == "order"]
    assert ordered == [
        (order["supplier"], line["order_number"], str(line["packs"]), line["cost"])
        for order in found["suppliers"]
        for line in order["lines"]
    ]
    assert Counter(each["entry"] for each in rows)["wire"] == len(found["wires"])
    for order in found["suppliers"]:
        made = client.get(NEEDED, query_string={"format": "ubl", "supplier": order["supplier"]})
        assert (made.mimetype, made.data.count(b"<cac:OrderLine>")) == ("application/xml", len(order["lines"]))


def test_the_margin_is_of_the_quotes_own_lines_and_day(client: FlaskClient, demo: Json) -> None:
    quote = issued(client, demo)
    found = client.get(f"/v1/quotes/{quote['id']}/margin").json
    assert [(each["id"], each["net"]) for each in found["lines"]] == [(each["id"], each["net"]) for each in quote["lines"]]
    assert (found["day"], found["totals"]["net"]) == (quote["provenance"]["priced_on"], quote["totals"]["lines"])
    unknown = Counter(each["unknown"]["code"] for each in found["lines"] if each["unknown"])
    assert unknown == {"labour": sum(each["group"] == "labour" for each in quote["lines"])}


def test_costs_put_in_force_count_at_once_although_no_version_changes(
    client: FlaskClient, engine: Engine, quotes: Quotes, demo: Json
) -> None:
    quote = issued(client, demo)
    at = f"/v1/quotes/{quote['id']}/margin"
    files = files_of(DEMO_FOLDER)
    Editions(quotes).put_in_force(engine.key, files)
    before = client.get(at).json
    rows = list(csv.DictReader(io.StringIO(files["purchases.csv"])))
    text = io.StringIO()
    writer = csv.DictWriter(text, rows[0].keys())
    writer.writeheader()
    writer.writerows({**each, "cost": str(2 * Decimal(each["cost"]))} for each in rows)
    Editions(quotes).put_in_force(engine.key, {**files, "purchases.csv": text.getvalue()})
    after = client.get(at).json
    costed = [each for each in before["lines"] if each["unit_cost"]]
    assert costed
    assert [Decimal(each["unit_cost"]) for each in after["lines"] if each["unit_cost"]] == [
        2 * Decimal(each["unit_cost"]) for each in costed
    ]


def test_a_quote_is_promised_for_its_lead_time_after_acceptance_and_the_last_answer() -> None:
    """Seven business days after Wednesday 25 November 2026: 26, 27, 30, 1, 2, 3, 4 December; Thanksgiving is the 26th. At two in the morning in
    Greenwich it is the day before in New York. An answer on the 27th starts them anew: 30, 1, 2, 3, 4, 7, 8.
    """
    zone, quote = ZoneInfo("America/New_York"), read(papers.demo())
    assert (quote.lead_time_days, purchases.ready_by(quote, zone, None)) == (7, None)
    taken = replace(quote, accepted=AcceptedBy("Asta Lindqvist", "2026-11-26T02:00:00.000Z"))
    assert purchases.ready_by(taken, zone, None) == date(2026, 12, 4)
    assert purchases.ready_by(taken, zone, "US") == date(2026, 12, 7)
    answer = Settlement(id="s", tag=None, code="c", pointer="/p", words="w", by="b", key="k", settled_at="2026-11-27T15:00:00.000Z")
    assert purchases.ready_by(replace(taken, settlements=(answer,)), zone, None) == date(2026, 12, 8)


def test_the_commands_print_what_the_api_answers(
    client: FlaskClient,
    engine: Engine,
    command: Command,
    demo: Json,
    capsysbinary: pytest.CaptureFixture[bytes],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("service.cli.in_force.open_engine", lambda _: engine)  # loading the tables takes most of a second
    quote = accepted(client, issued(client, demo))
    wanted = client.get(NEEDED).json
    printed = []
    for arguments in (
        ("needed", "--format", "json"),
        ("needed", quote["number"], "--format", "json"),
        ("needed",),
        ("needed", "--format", "ubl", "--supplier", wanted["suppliers"][0]["supplier"]),
        ("margin", quote["number"]),
    ):
        assert command("purchases", *arguments) == 0
        printed.append(capsysbinary.readouterr().out)
    every, named, listed, order, margin = printed
    assert json.loads(every) == json.loads(named) == wanted
    assert listed == client.get(NEEDED, query_string={"format": "csv"}).data
    assert order == client.get(NEEDED, query_string={"format": "ubl", "supplier": wanted["suppliers"][0]["supplier"]}).data
    assert json.loads(margin) == client.get(f"/v1/quotes/{quote['id']}/margin").json
    for arguments in (("needed", "Q-2026-000099"), ("margin", "Q-2026-000099"), ("needed", "--format", "ubl")):
        assert command("purchases", *arguments) == 2
