"""The shelf over the API and on each database: taken once, also by two at once; undone; counted; seen by the next plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from pricing.catalogue import DEMO_FOLDER
from service.engine import Engine
from service.storage import Quotes
from tests.service.conftest import Command, made_app

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
    assert (second.status_code, second.json["errors"][0]["code"]) == (409, "not_taken")
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


def test_eight_takings_of_one_plan_at_once_move_it_once(shop: Flask) -> None:
    made = plan(shop, "9 m")
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: take(shop, made).status_code, range(8)))
    assert sorted(answers) == [200] + [409] * 7
    assert len(shop.test_client().get("/v1/stock/movements").json["movements"]) == 1


def test_undoing_puts_everything_back_and_the_plan_can_be_taken_again(shop: Flask) -> None:
    rows, made = shelf(shop)["rows"], plan(shop, "9 m", "4 m")
    take(shop, made)
    assert take(shop, made, "undo").status_code == 200
    key = lambda row: row["id"]  # noqa: E731
    assert sorted(shelf(shop)["rows"], key=key) == sorted(rows, key=key)
    assert take(shop, made, "undo").status_code == 409
    assert take(shop, made).status_code == 200
    said = shop.test_client().get("/v1/stock/movements").json["movements"]
    assert [(each["what"], each["undone"]) for each in said] == [("taken", False), ("undone", False), ("taken", True)]


def test_a_rest_that_was_cut_since_cannot_be_undone(shop: Flask) -> None:
    first = plan(shop, "20 m")
    take(shop, first)
    second = plan(shop, "20 m")
    assert take(shop, second).json["out"][0]["source"].startswith("rest of")
    refused = take(shop, first, "undo")
    assert refused.status_code == 409
    assert "no longer on the shelf" in refused.json["errors"][0]["detail"]
    assert shelf(shop)["version"] == 2


def test_the_plan_of_a_quote_can_be_taken_and_one_on_stock_of_the_request_cannot(shop: Flask, demo: dict[str, Any]) -> None:
    quote = post(shop, "/v1/quotes", demo).json
    inner = shop.test_client().get(f"/v1/quotes/{quote['id']}/cutting-plan").json
    assert take(shop, inner).status_code == 200
    own = plan(shop, "5 m", stock=[{"id": "MINE", "length": "9 m", "price": "9.00"}])
    refused = take(shop, own)
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "other_stock")


def test_an_unknown_plan_is_404_and_a_wrong_body_422(shop: Flask) -> None:
    unknown = {"id": "01a21211-138e-7ff9-814a-1ce6de70983e"}
    assert [take(shop, unknown, what).status_code for what in ("take", "undo")] == [404, 404]
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
    assert command("stock", "count", str(file)) == 0
    assert [row["id"] for row in shelf(app)["rows"]] == sorted(line.split(",")[0] for line in counted[1:])
