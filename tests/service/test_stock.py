"""The shelf over the API and on each database: taken once, even by two callers at once; reversed; counted; seen by the next plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from pricing.catalogue import DEMO_FOLDER
from service.engine.engine import Engine
from service.storage import Quotes, tables
from tests.service.conftest import Command, made_app
from tests.service.steps import accepted

WIRE = {"construction": "1x19", "material": "316", "diameter": "3/16 in"}
D = Decimal


@pytest.fixture
def shop(engine: Engine, store: Quotes) -> Iterator[Flask]:
    """The application on each database."""
    return made_app(engine, store)


def post(app: Flask, path: str, body: Any) -> Any:
    return app.test_client().post(path, data=json.dumps(body), content_type="application/json")


def plan(app: Flask, *lengths: str, **more: Any) -> Any:
    made = post(app, "/v1/cutting-plans", {"wire": WIRE, "pieces": [{"length": each} for each in lengths], **more})
    assert made.status_code == 201
    return made.json


def shelf(app: Flask) -> Any:
    return app.test_client().get("/v1/stock").json


def metres(app: Flask) -> Decimal:
    return next(D(each["metres"]) for each in shelf(app)["wires"] if each["wire"] == "WIRE-1X19-316-3-16IN")


def take(app: Flask, plan: Any, what: str = "take") -> Any:
    return post(app, f"/v1/cutting-plans/{plan['id']}/{what}", {"by": "bench two"})


def test_a_taken_plan_is_seen_by_the_next_one_and_metres_are_conserved(shop: Flask) -> None:
    before, first = metres(shop), plan(shop, "9 m", "9 m", "8.5 m")
    moved = take(shop, first).json
    totals = first["totals"]
    assert before - metres(shop) == (D(totals["stock"]["mm"]) - D(totals["kept"]["mm"])) / 1000
    tags = {each["tag"] for each in moved["kept_as"]}
    assert tags <= {row["id"] for row in shelf(shop)["rows"]}
    cut = {use["object"] for use in first["wires"][0]["uses"]}
    assert not cut & {row["id"] for row in shelf(shop)["rows"]}
    again = plan(shop, "9 m", "9 m", "8.5 m")
    assert not cut & {use["object"] for use in again["wires"][0]["uses"]}


def test_a_plan_is_taken_once(shop: Flask) -> None:
    made = plan(shop, "5 m")
    assert take(shop, made).status_code == 200
    second = take(shop, made)
    assert (second.status_code, second.json["errors"][0]["code"]) == (409, "already_taken")
    assert shelf(shop)["version"] == 1


def test_two_plans_that_want_one_object_are_taken_one_after_the_other_and_the_second_is_refused(shop: Flask) -> None:
    one, other = plan(shop, "9 m"), plan(shop, "9.2 m")
    assert one["wires"][0]["uses"][0]["object"] == other["wires"][0]["uses"][0]["object"]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda each: take(shop, each), (one, other)))
    assert sorted(each.status_code for each in answers) == [200, 409]
    refused = next(each for each in answers if each.status_code == 409)
    assert refused.json["errors"][0]["code"] == "not_on_the_shelf"
    assert shelf(shop)["version"] == 1


def test_eight_takes_of_one_plan_at_once_move_it_once(shop: Flask) -> None:
    made = plan(shop, "9 m")
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: take(shop, made).status_code, range(8)))
    assert sorted(answers) == [200] + [409] * 7
    assert len(shop.test_client().get("/v1/stock/movements").json["movements"]) == 1


def test_a_reversal_puts_everything_back_and_the_plan_can_be_taken_again(shop: Flask) -> None:
    rows, made = shelf(shop)["rows"], plan(shop, "9 m", "4 m")
    take(shop, made)
    assert take(shop, made, "reversal").status_code == 200
    key = lambda row: row["id"]  # noqa: E731
    assert sorted(shelf(shop)["rows"], key=key) == sorted(rows, key=key)
    assert take(shop, made, "reversal").status_code == 409
    assert take(shop, made).status_code == 200
    said = shop.test_client().get("/v1/stock/movements").json["movements"]
    assert [(each["type"], each["reversed"]) for each in said] == [("take", False), ("reversal", False), ("take", True)]


def test_the_movements_of_one_plan_are_asked_for_by_its_id(shop: Flask) -> None:
    one, other, client = plan(shop, "5 m"), plan(shop, "20 m"), shop.test_client()
    moved = [take(shop, each).json for each in (one, other)]
    back = take(shop, one, "reversal").json
    said = {each["id"]: client.get(f"/v1/stock/movements?plan={each['id'].upper()}").json["movements"] for each in (one, other)}
    assert [(each["id"], each["reversed"]) for each in said[one["id"]]] == [(back["id"], False), (moved[0]["id"], True)]
    assert [each["id"] for each in said[other["id"]]] == [moved[1]["id"]]
    assert client.get("/v1/stock/movements?plan=01a21211-138e-7ff9-814a-1ce6de70983e").json == {"movements": []}
    refused = client.get("/v1/stock/movements?plan=mine")
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (422, "not_an_id")


def test_a_rest_that_was_cut_since_cannot_be_reversed(shop: Flask) -> None:
    first = plan(shop, "20 m")
    take(shop, first)
    second = plan(shop, "20 m")
    assert take(shop, second).json["removed"][0]["source"].startswith("remnant of")
    refused = take(shop, first, "reversal")
    assert refused.status_code == 409
    assert "no longer on the shelf" in refused.json["errors"][0]["detail"]
    assert shelf(shop)["version"] == 2


def test_the_plan_of_a_quote_is_taken_once_it_is_accepted_and_one_on_stock_of_the_request_never(shop: Flask, demo: dict[str, Any]) -> None:
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    inner = client.get(f"/v1/quotes/{quote['id']}/cutting-plan").json
    early = take(shop, inner)
    assert (early.status_code, [each["code"] for each in early.json["errors"]]) == (409, ["not_accepted"])
    assert quote["number"] in early.json["errors"][0]["detail"]
    assert shelf(shop)["version"] == 0
    accepted(client, quote)
    assert take(shop, inner).status_code == 200
    now = client.get(f"/v1/quotes/{quote['id']}").json
    assert (now["status"], now["pieces_cut"]) == ("in_work", {each["tag"]: each["quantity"] for each in quote["assemblies"]})
    own = plan(shop, "5 m", stock=[{"id": "MINE", "length": "9 m", "price": "9.00"}])
    refused = take(shop, own)
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "other_stock")


def test_each_piece_is_cut_once_and_what_goes_back_on_the_shelf_may_be_cut_again(shop: Flask, demo: dict[str, Any]) -> None:
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    one = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    other = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    accepted(client, quote)
    pieces = {each["tag"]: each["quantity"] for each in quote["assemblies"]}
    assert take(shop, one).status_code == 200
    again = take(shop, other)
    assert (again.status_code, {each["code"] for each in again.json["errors"]}) == (409, {"already_cut"})
    assert len(again.json["errors"]) == len(pieces)
    emptied = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    left_out = {each["label"]: (each["quantity"], each["reason"]) for each in emptied["left_out"]}
    assert (emptied["wires"], left_out) == ([], {tag: (many, "already_cut") for tag, many in pieces.items()})
    assert take(shop, one, "reversal").status_code == 200
    back = client.get(f"/v1/quotes/{quote['id']}").json
    assert (back["status"], back["pieces_cut"]) == ("accepted", {})
    assert take(shop, other).status_code == 200
    events = client.get(f"/v1/quotes/{quote['id']}/events").json["events"]
    assert [(each["type"], each["by"], each["key"]) for each in events[2:]] == [
        ("quote.in_work", "bench two", "demo"),
        ("quote.cut_undone", "bench two", "demo"),
        ("quote.in_work", "bench two", "demo"),
    ]


def test_a_note_on_a_take_is_the_movements_and_in_no_quotes_history(shop: Flask, demo: dict[str, Any]) -> None:
    """It may be about another boat of the same plan."""
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    accepted(client, quote)
    made = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    moved = post(shop, f"/v1/cutting-plans/{made['id']}/take", {"by": "bench two", "note": "The other boat's owner waits."})
    assert moved.json["note"] == "The other boat's owner waits."
    (event,) = [each for each in client.get(f"/v1/quotes/{quote['id']}/events").json["events"] if each["type"] == "quote.in_work"]
    assert (event["by"], event["note"]) == ("bench two", None)


@pytest.mark.parametrize("status", ["issued", "accepted", "superseded"])
def test_a_take_of_an_earlier_release_is_reversed_whatever_became_of_its_quote(
    shop: Flask, store: Quotes, demo: dict[str, Any], status: str
) -> None:
    """It was taken without acceptance, and counted no pieces."""
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    rows, as_issued = shelf(shop)["rows"], standing_of(store, quote)
    made = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    accepted(client, quote)
    assert take(shop, made).status_code == 200
    with store.writing() as connection:
        then = {"status": status, "standing": as_issued, "standing_version": 0}
        connection.execute(tables.quotes.update().where(tables.quotes.c.id == quote["id"]).values(**then))
    assert take(shop, made, "reversal").status_code == 200
    key = lambda row: row["id"]  # noqa: E731
    assert sorted(shelf(shop)["rows"], key=key) == sorted(rows, key=key)
    assert client.get(f"/v1/quotes/{quote['id']}").json["status"] == status


def standing_of(store: Quotes, quote: Any) -> bytes:
    with store.reading() as connection:
        return bytes(connection.execute(select(tables.quotes.c.standing).where(tables.quotes.c.id == quote["id"])).scalar_one())


def test_two_plans_of_one_quote_taken_at_once_cut_its_pieces_once(shop: Flask, demo: dict[str, Any]) -> None:
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    both = [post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json for _ in range(2)]
    accepted(client, quote)
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda each: take(shop, each).status_code, both))
    assert sorted(answers) == [200, 409]
    assert client.get(f"/v1/quotes/{quote['id']}").json["pieces_cut"] == {each["tag"]: each["quantity"] for each in quote["assemblies"]}
    assert shelf(shop)["version"] == 1


def test_wire_that_was_built_does_not_go_back_on_the_shelf(shop: Flask, demo: dict[str, Any]) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    quote, client = post(shop, "/v1/quotes", demo).json, shop.test_client()
    made = post(shop, "/v1/cutting-plans", {"quotes": [quote["id"]]}).json
    accepted(client, quote)
    assert take(shop, made).status_code == 200
    (assembly,) = quote["assemblies"]
    finished = {"tag": assembly["tag"], "finished_length": f"{assembly['target_length']['mm']} mm"}
    assert post(shop, f"/v1/quotes/{quote['id']}/as-built", {"assemblies": [finished]}).json["verdict"] == "pass"
    assert client.get(f"/v1/quotes/{quote['id']}").json["status"] == "built"
    refused = take(shop, made, "reversal")
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "already_built")
    assert shelf(shop)["version"] == 1


def test_an_unknown_plan_is_404_and_a_wrong_body_422(shop: Flask) -> None:
    unknown = {"id": "01a21211-138e-7ff9-814a-1ce6de70983e"}
    assert [take(shop, unknown, what).status_code for what in ("take", "reversal")] == [404, 404]
    made = plan(shop, "5 m")
    assert post(shop, f"/v1/cutting-plans/{made['id']}/take", {"who": "me"}).status_code == 422
    assert shelf(shop)["version"] == 0


def test_a_count_replaces_the_shelf_and_a_faulty_one_changes_nothing(command: Command, app: Flask, tmp_path: Path) -> None:
    counted = (DEMO_FOLDER / "stock.csv").read_text(encoding="utf-8").splitlines()[:3]
    file = tmp_path / "counted.csv"
    file.write_text("\n".join([*counted, "TOO-SHORT,WIRE-1X19-316-3-16IN,offcut,0 m,,1.00,1,,counted"]), encoding="utf-8")
    assert command("stock", "count", str(file)) == 2
    assert shelf(app)["version"] == 0
    file.write_text("\n".join(counted), encoding="utf-8")
    assert command("stock", "count", str(file), "--yes") == 0
    assert [row["id"] for row in shelf(app)["rows"]] == sorted(line.split(",")[0] for line in counted[1:])
