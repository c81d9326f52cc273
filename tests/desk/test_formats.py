"""Days, moments, money and figures are written in one way for each language, on every page of the desk; its tables and terms are looked at in
tests/desk/test_tables.py.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from tests.batches.fleet import boat, ndjson, worked
from tests.desk.colleague import Colleague
from tests.desk.formats import AMOUNT, WRITTEN, other_ways, read_on
from tests.service.steps import accepted, settled


@pytest.fixture
def pages(desk: Flask, demo: dict[str, Any]) -> dict[Role, list[str]]:
    """What is looked at, at a shop where everything that is dated has happened."""
    client, quotes = desk.test_client(), desk.extensions["quotes"]
    open_quote = client.post("/v1/quotes", json={**demo, "note": "The mast was raised."}).json
    made = client.post("/v1/quotes", json=demo).json
    settled(client, made)
    quote = accepted(client, made)
    plan = client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}).json["id"]
    assert client.post(f"/v1/cutting-plans/{plan}/take", json={"by": "Benno"}).status_code == 200
    tag = quote["assemblies"][0]["tag"]
    far = boat("HULL-9")
    far["assemblies"][0]["measurement"]["readings"] = [f"1{each}" for each in far["assemblies"][0]["measurement"]["readings"]]
    lines = ndjson(*(boat(f"HULL-{each}") for each in range(4)), far)
    fleet = client.post("/v1/batches", data=lines, headers={"Content-Type": "application/x-ndjson"}).json["id"]
    worked(desk, quotes)
    return {
        Role.COUNTER: ["", "/find", f"/quotes/{open_quote['id']}", f"/quotes/{quote['id']}", f"/quotes/{quote['id']}/lines", "/fleets", f"/fleets/{fleet}"],
        Role.BENCH: ["/bench", f"/bench/{quote['id']}", f"/bench/{quote['id']}/{tag}", f"/bench/built/{quote['id']}/{tag}", "/bench/plans", f"/bench/plans/{plan}", "/stock"],
        Role.OWNER: ["", "/figures", "/people"],
    }  # fmt: skip


def test_every_page_writes_days_money_and_figures_in_one_way(desk: Flask, pages: dict[Role, list[str]]) -> None:
    wrong = {}
    for language in ("en", "de"):
        days, amounts = 0, 0
        for role, addresses in pages.items():
            person = Colleague(desk, role, language)
            for address in addresses:
                assert person.go(f"/desk{address}").status_code == 200, address
                text = read_on(person)
                days, amounts = days + len(re.findall(WRITTEN[language], text)), amounts + len(re.findall(AMOUNT[language], text))
                if found := list(other_ways(text, language)):
                    wrong[language, address] = found
        assert days > 15
        assert amounts > 20
    assert wrong == {}, wrong
