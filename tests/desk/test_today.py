"""What waits today, for each role; and finding quotes by what one remembers of them."""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import quote as percent

import pytest
from flask import Flask

from pricing.catalogue import DEMO_FOLDER
from service.credentials.people import Role
from service.desk.home import A_PAGE, FIRST
from service.lifecycle.events import EventType
from service.storage import Endpoints, Quotes
from service.storage.tables import webhook_messages
from tests.desk.colleague import XHTML, Colleague
from tests.desk.test_quote import HOSTILE, asked, made
from tests.service.conftest import DAY
from tests.service.steps import accepted

Json = dict[str, Any]
SECRET = b"0" * 32


def of(boat: str, *tags: str, customer: str = "Saltmarsh Boat Share") -> Json:
    request = asked(*(tags or ("GATE-P",)))
    return {**request, "boat": {**request["boat"], "name": boat}, "customer": {"name": customer}}


def headings(colleague: Colleague) -> list[str]:
    return ["".join(each.itertext()) for each in colleague.page.iter(f"{XHTML}h2")]


def shown(colleague: Colleague) -> list[str]:
    """The quotes that the page leads to, in its order."""
    return [each.rpartition("/")[2].partition("#")[0] for each in colleague.links() if each.startswith("/desk/quotes/")]


def test_when_nothing_waits_it_says_so(desk: Flask) -> None:
    assert "Nothing is waiting." in Colleague(desk, Role.COUNTER).text
    assert "Nichts wartet." in Colleague(desk, Role.BENCH, "de").text


def test_each_kind_leads_to_where_it_is_done(desk: Flask) -> None:
    client = desk.test_client()
    question, ask, cut = made(desk, of("Avocet")), made(desk, of("Bittern", "MIZZEN BACK")), made(desk, of("Curlew"))
    client.post(f"/v1/quotes/{question['id']}/questions", json={"words": "When?"})
    accepted(client, cut)
    counter, bench = Colleague(desk, Role.COUNTER), Colleague(desk, Role.BENCH)
    assert headings(counter) == ["Questions of customers: 1", "To settle before cutting: 1", "Accepted and not cut: 1"]
    assert f"/desk/quotes/{question['id']}#questions" in counter.links()
    assert f"/desk/quotes/{ask['id']}#asks" in counter.links()
    assert f"/desk/bench/{cut['id']}" in counter.links()
    assert headings(bench) == ["Accepted and not cut: 1"]


def test_what_expires_within_a_week_is_told_from_what_does_not(desk: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = made(desk, of("Avocet"))
    catalogues = desk.extensions["catalogues"]
    tables = catalogues.of_today()[0]
    for days, there in ((22, False), (23, True), (30, True), (31, False)):  # it is good for thirty days: until December 25
        monkeypatch.setattr(catalogues, "of_today", lambda days=days: (tables, DAY + timedelta(days=days)))
        colleague = Colleague(desk, Role.COUNTER, name=f"Cora the {days}th")
        assert ("Expiring within seven days: 1" in headings(colleague)) is there, days
        assert (quote["id"] in shown(colleague)) is there


@pytest.mark.parametrize("role", list(Role))
def test_what_was_built_and_is_not_to_measure_waits_until_it_passes(desk: Flask, role: Role) -> None:
    client = desk.test_client()
    quote = accepted(client, made(desk, of("Avocet")))
    length = Decimal(quote["assemblies"][0]["target_length"]["mm"])
    for finished, there in ((length + 100, True), (length, False)):
        built = {"assemblies": [{"tag": "GATE-P", "finished_length": f"{finished} mm"}]}
        assert client.post(f"/v1/quotes/{quote['id']}/as-built", json=built).status_code == 201
        someone = Colleague(desk, role, name=f"Nora {finished}")
        assert ("Built out of tolerance: 1" in headings(someone)) is there
        assert there <= (f"/desk/bench/{quote['id']}" in someone.links())


def test_the_first_few_are_shown_and_the_rest_is_counted(desk: Flask) -> None:
    for number in range(FIRST + 2):
        made(desk, of(f"Dunlin {number}", "MIZZEN BACK"))
    counter = Colleague(desk, Role.COUNTER)
    assert f"To settle before cutting: {FIRST + 2}" in headings(counter)
    assert len(shown(counter)) == FIRST
    assert "/desk/find?waiting=open_asks" in counter.links()
    counter.go("/desk/find?waiting=open_asks")
    assert len(shown(counter)) == FIRST + 2


def test_messages_given_up_and_wire_running_low_are_the_owners(desk: Flask, quotes: Quotes) -> None:
    endpoint = Endpoints(quotes).add("https://hooks.shop.example/", [EventType.ISSUED], SECRET, DAY)
    for _ in range(A_PAGE + 1):
        made(desk, of("Avocet"))
    with quotes.writing() as connection:
        connection.execute(webhook_messages.update().values(state="dead", attempts=10, answer="503", ended=1.0))
    client = desk.test_client()
    page = client.get("/v1/webhooks/messages?limit=1").json
    assert [(each["endpoint_id"], each["event"], each["attempts"], each["answer"]) for each in page["messages"]] == [
        (endpoint, "quote.issued", 10, "503")
    ]
    after = client.get(f"/v1/webhooks/messages?limit=100&cursor={page['next']}").json
    assert (len(after["messages"]), after["next"]) == (A_PAGE, None)
    assert page["messages"][0] not in after["messages"]
    owner = Colleague(desk, Role.OWNER)
    assert f"Messages that other systems did not take: {A_PAGE + 1}" in headings(owner)
    assert owner.text.count("tried 10 times · 503") == FIRST
    assert "/desk/messages" in owner.links()
    owner.go("/desk/messages")
    assert (f"did not take: {A_PAGE + 1}" in owner.text, owner.text.count("tried 10 times")) == (True, A_PAGE)
    owner.go(next(each for each in owner.links() if "cursor=" in each))
    assert (owner.text.count("tried 10 times"), "Earlier messages" in owner.text) == (1, False)
    for role in (Role.COUNTER, Role.BENCH):
        assert "Messages that other systems" not in Colleague(desk, role).text


def test_wire_below_its_level_is_told_to_the_owner(desk: Flask) -> None:
    with (DEMO_FOLDER / "purchases.csv").open(encoding="utf-8", newline="") as file:
        levels = {row["sku"]: Decimal(row["reorder_below"].removesuffix(" m")) for row in csv.DictReader(file) if row["reorder_below"]}
    metres = {each["wire"]: Decimal(each["metres"]) for each in desk.test_client().get("/v1/stock").json["wires"]}
    low = {sku for sku, level in levels.items() if metres.get(sku, Decimal(0)) < level}
    assert low
    assert {each["sku"] for each in desk.test_client().get("/v1/purchases/low").json["wires"]} == low
    owner = Colleague(desk, Role.OWNER)
    assert f"Wire running low: {len(low)}" in headings(owner)
    assert "Wire 1x19, 316, 6 mm 35.4 m on the shelf, wanted 40 m" in owner.text
    table = owner.client.get(next(each for each in owner.links() if each.endswith(".csv")))
    assert table.data == desk.test_client().get("/v1/purchases/needed?format=csv").data
    for role in (Role.COUNTER, Role.BENCH):
        assert "running low" not in Colleague(desk, role).text


def test_a_fleet_that_runs_is_told_with_its_page(desk: Flask) -> None:
    fleet = desk.test_client().post("/v1/batches", json=[{**of("Avocet"), "custom_id": "one"}])
    assert fleet.status_code == 202, fleet.json
    counter = Colleague(desk, Role.COUNTER)
    assert "Fleets that run or have failed boats: 1" in headings(counter)
    assert f"/desk/fleets/{fleet.json['id']}" in counter.links()


@pytest.mark.parametrize(
    ("sought", "boats"),
    [
        ("avo", ["Avocet"]), ("lindq", ["Bittern"]), ("1", ["Avocet"]), ("Q-2026-000002", ["Bittern"]), ("mizzen", ["Bittern"]), ("gate", ["Avocet"]),
        ("bittern mizzen", ["Bittern"]), ("avocet mizzen", []), ("heron", []), (",", []), ("%_", []), ("", ["Bittern", "Avocet"]),
    ],
)  # fmt: skip
def test_a_quote_is_found_by_number_customer_boat_and_tag(desk: Flask, sought: str, boats: list[str]) -> None:
    by_boat = {"Avocet": made(desk, of("Avocet")), "Bittern": made(desk, of("Bittern", "MIZZEN BACK", customer="Asta Lindqvist"))}
    bench = Colleague(desk, Role.BENCH)
    bench.go(f"/desk/find?q={percent(sought)}")
    assert shown(bench) == [by_boat[each]["id"] for each in boats]
    assert ("Nothing was found." in bench.text) is (not boats)


def test_one_types_and_presses_enter(desk: Flask) -> None:
    quote = made(desk, of("Avocet"))
    counter = Colleague(desk, Role.COUNTER)
    (form, _), *_ = counter.forms("Find it")
    assert (form.get("method"), form.get("action")) == ("get", "/desk/find")
    counter.go("/desk/find?q=avoc")
    assert shown(counter) == [quote["id"]]
    assert counter.client.get("/desk/find.js").mimetype == "text/javascript"


def test_hostile_names_in_the_lists(desk: Flask) -> None:
    made(desk, of(HOSTILE, "MIZZEN BACK", customer=HOSTILE))
    counter = Colleague(desk, Role.COUNTER)
    for address in ("/desk", "/desk/find", f"/desk/find?q={percent(HOSTILE)}"):
        counter.go(address)
        assert HOSTILE in counter.text
        assert "<script>alert" not in counter.reply.text


def test_pages_of_what_is_found(desk: Flask) -> None:
    every = [made(desk, of(f"Dunlin {number}"))["id"] for number in range(A_PAGE + 1)]
    counter = Colleague(desk, Role.COUNTER)
    counter.go("/desk/find?q=dunlin")
    assert shown(counter) == every[:0:-1]
    counter.go(next(each for each in counter.links() if "cursor=" in each))
    assert shown(counter) == every[:1]
