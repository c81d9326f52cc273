"""A batch as one fleet: sums and comparisons by hand from its quotes, breaks from the shop's own price ladder."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from pricing.catalogue import load_catalogue
from pricing.costing.rates import price_table
from service.engine.engine import Engine
from service.storage import Quotes
from tests.batches.fleet import boat, ndjson, results, worked
from tests.batches.test_batches import post
from tests.service.conftest import DAY, made_app
from tests.service.shops import shop
from tests.service.steps import accepted


def made(app: Flask, client: FlaskClient, quotes: Quotes, *lines: Any) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The fleet's summary, and its quotes."""
    answer = post(client, ndjson(*lines))
    worked(app, quotes)
    told = client.get(f"{answer.json['href']}/summary")
    assert told.status_code == 200, told.json
    return told.json, [each["quote"] for each in results(client, answer, "whole") if "quote" in each]


def test_the_fleet_adds_up_what_its_quotes_say(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    fleet, documents = made(app, client, quotes, boat("A", 2), boat("B", 4), b"{", boat("C", 2))
    assert (fleet["failed"], [each["custom_id"] for each in fleet["boats"]]) == (1, ["A", "B", "C"])
    for name in ("tax_exclusive", "payable"):
        assert Decimal(fleet["totals"][name]) == sum(Decimal(each["totals"][name]) for each in documents)
    needed: dict[tuple[str, bool], Decimal] = {}
    for document in documents:
        for each in document["bill_of_materials"]:
            key = (each["sku"], each["kept"])
            needed[key] = needed.get(key, Decimal(0)) + Decimal(each["quantity"])
    assert {(each["sku"], each["kept"]): Decimal(each["quantity"]) for each in fleet["bill_of_materials"]} == needed
    assert [fleet["compared"][which]["custom_id"] for which in ("minimum", "median", "maximum")] == ["A", "C", "B"]
    assert ([each["alike"] for each in fleet["boats"]], fleet["compared"]["kinds"]) == ([1, 2, 1], 2)


def test_a_wire_with_a_slipped_digit_is_named_among_its_sisters(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    sisters = [boat(f"HULL-{number}", 1) for number in range(4)]
    wrong = boat("HULL-9", 1)
    reading = wrong["assemblies"][0]["measurement"]["readings"]
    wrong["assemblies"][0]["measurement"]["readings"] = [f"1{each}" for each in reading]  # 28 ft becomes 128 ft
    fleet, documents = made(app, client, quotes, *sisters, wrong)
    (odd,) = fleet["differing"]
    (assembly,) = documents[-1]["assemblies"]
    assert (odd["custom_id"], odd["tag"], odd["sisters"]) == ("HULL-9", assembly["tag"], 4)
    assert Decimal(odd["length"]["mm"]) == Decimal(assembly["measured_length"]["mm"])
    assert Decimal(odd["median"]["mm"]) == Decimal(documents[0]["assemblies"][0]["measured_length"]["mm"])
    assert Decimal(odd["difference_mm"]) == pytest.approx(Decimal(30480))  # a hundred feet


def test_one_plan_cuts_every_piece_of_every_boat_once_and_can_be_taken(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    fleet, documents = made(app, client, quotes, boat("A", 4), boat("B", 4))
    plan = client.get(fleet["cutting_plan"]["href"]).json
    cuts = sorted((each["quote"], each["label"]) for wire in plan["wires"] for use in wire["uses"] for each in use["cuts"])
    unplanned = sum(each["quantity"] for wire in plan["wires"] for each in wire["unplanned"])
    wanted = sorted(
        (document["number"], each["tag"])
        for document in documents
        for each in document["assemblies"]
        for _ in range(each["quantity"])
        if each["cut_length"]
    )
    assert unplanned == 0
    assert cuts == wanted
    early = client.post(f"{fleet['cutting_plan']['href']}/take", json={})
    assert (early.status_code, [each["code"] for each in early.json["errors"]]) == (409, ["not_accepted"] * 2)
    for each in documents:
        accepted(client, each)
    assert client.post(f"{fleet['cutting_plan']['href']}/take", json={}).status_code == 200


def test_the_plan_of_a_fleet_names_what_it_leaves_out(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    asking = boat("B", 2)
    asking["assemblies"][0]["note"] = "Chafed at the spreader."
    fleet, (ready, doubted) = made(app, client, quotes, boat("A", 2), asking)
    plan = client.get(fleet["cutting_plan"]["href"]).json
    tag = doubted["assemblies"][0]["tag"]
    assert [(each["quote"], each["label"], each["reason"]) for each in plan["left_out"]] == [(doubted["number"], tag, "not_ready")]
    cuts = {(each["quote"], each["label"]) for wire in plan["wires"] for use in wire["uses"] for each in use["cuts"]}
    assert cuts == {(ready["number"], each["tag"]) for each in ready["assemblies"]} | {(doubted["number"], doubted["assemblies"][1]["tag"])}


def test_what_is_to_buy_is_what_the_plan_takes_from_no_shelf(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    few, _ = made(app, client, quotes, boat("A", 2))
    many, _ = made(app, client, quotes, *(boat(f"B-{number}", 2) for number in range(60)))
    assert all(each["to_buy"] == "0.000" for each in few["buying_list"] if each["unit"] == "m")  # the demo shelf holds one boat's wire
    shelf = {each["id"] for each in client.get("/v1/stock").json["rows"]}
    plan = client.get(many["cutting_plan"]["href"]).json
    for each in many["buying_list"]:
        if each["unit"] == "each":
            assert each["to_buy"] == each["needed"]
            continue
        bought = [
            use["stock"]
            for wire in plan["wires"]
            if wire["wire"]["sku"] == each["sku"]
            for use in wire["uses"]
            if use["stock"] not in shelf
        ]
        assert sum(spool["count"] for spool in each["spools"]) == len(bought)
        metres = sum(Decimal(spool["length"]["mm"]) * spool["count"] for spool in each["spools"]) / 1000
        assert Decimal(each["to_buy"]) == metres
    assert any(each["spools"] for each in many["buying_list"])


@pytest.mark.parametrize("policy", ["per_boat", "fleet"])
def test_breaks_over_the_fleet_are_taken_from_the_ladder_at_the_fleet_s_quantity(
    engine: Engine, quotes: Quotes, tmp_path: Any, policy: str
) -> None:
    """By hand: an article's ladder gets a step at 20 pieces for half its price; 12 boats with 2 of it each take 24, no boat alone comes near."""
    from dataclasses import replace

    from service.engine.engine import engine_of
    from service.settings import Settings

    folder = shop(tmp_path / "shop")
    tee = next(each.sku for each in engine.quote(_request(engine, boat(None, 2, price_list="retail"))).lines if each.group == "fitting")
    prices = price_table(load_catalogue(folder)).at(DAY)
    usual = prices.price(tee, Decimal(2))
    with (folder / "prices.csv").open("a", encoding="utf-8") as file:
        file.write(f"{tee},each,{usual.from_day.isoformat()},20,{usual.unit_price / 2:.2f},invented for a test\n")
    with (folder / "terms.csv").open("a", encoding="utf-8") as file:
        file.write(f"price_breaks,{policy},,2026-01-01,invented for a test\n")
    other = replace(engine_of(folder, Settings(today=DAY)))
    app = made_app(other, quotes)
    fleet, documents = made(app, app.test_client(), quotes, *(boat(f"B-{number}", 2, price_list="retail") for number in range(12)))
    line = next(each for each in documents[0]["lines"] if each["sku"] == tee)
    count = Decimal(line["quantity"]) * 12
    assert count >= 20
    halved = (usual.unit_price / 2).quantize(Decimal("0.01"))
    saving = 12 * (Decimal(line["net"]) - Decimal(line["quantity"]) * halved)
    found = {each["sku"]: each for each in fleet["price_breaks"]["articles"]}
    assert Decimal(found[tee]["saving"]) == saving > 0
    assert Decimal(found[tee]["unit_price"]) == halved
    total = sum(Decimal(each["totals"]["tax_exclusive"]) for each in documents)
    told = fleet["price_breaks"]
    assert (told["policy"], told["granted"]) == (policy, policy == "fleet")
    assert Decimal(told["tax_exclusive"]) == (total - Decimal(told["saving"]) if policy == "fleet" else total)


def _request(engine: Engine, asked: dict[str, Any]) -> Any:
    from service.schemas import read_request

    return read_request(asked, engine.known_price_lists())


def test_there_is_no_fleet_before_the_batch_is_done_and_none_without_a_quote(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    waiting = post(client, ndjson(boat("A")))
    assert client.get(waiting.json["summary"]).status_code == 409
    worked(app, quotes)
    first = client.get(waiting.json["summary"])
    assert client.get(waiting.json["summary"]).data == first.data  # made once: its plan is the same one
    failed = post(client, ndjson([1]))
    worked(app, quotes)
    assert client.get(failed.json["summary"]).status_code == 409


def test_a_batch_beyond_a_thousand_boats_is_told_to_come_in_several(
    app: Flask, client: FlaskClient, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    from service.batches import fleets

    monkeypatch.setattr(fleets, "MOST_BOATS", 2)
    many = post(client, ndjson(boat("A"), boat("B"), boat("C")))
    worked(app, quotes)
    assert client.get(many.json["summary"]).status_code == 422
