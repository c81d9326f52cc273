"""Lines and a discount that the shop adds by hand: who may, what is refused, what a revision says of them."""

from __future__ import annotations

import copy
import json
import uuid
from decimal import Decimal
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.assembly_table.columns import column_named
from service.credentials.keys import Kind
from service.storage import Quotes
from tests.service.holders import PAGE, bearing, kept_key


def at(*steps: str | int) -> str:
    """A JSON pointer (RFC 6901) of names and places that need no escape."""
    return "".join(f"/{each}" for each in steps)


D = Decimal
CALL_OUT = {"text": "Call-out to the mooring", "quantity": "1", "unit_price": "45.50", "tax_category": "E"}
ARTICLE = {"sku": "COTTER-1-16IN", "quantity": "12"}
BY_HAND = {"extra_articles": [ARTICLE], "extra_lines": [CALL_OUT], "discount": {"text": "Winter", "reduction": "10 %"}}


def test_what_is_added_by_hand_is_on_the_quote_and_in_its_totals(client: FlaskClient, demo: dict[str, Any]) -> None:
    plain = client.post("/v1/quotes/preview", json=demo).json
    made = client.post("/v1/quotes", json={**demo, **BY_HAND}).json
    line = made["lines"][-1]
    assert (line["name"], line["group"], line["net"], line["tax"]) == (CALL_OUT["text"], "extra", "45.50", {"category": "E", "rate": "0"})
    # the assemblies bear nothing of it
    assert [each["price"] for each in made["assemblies"]] == [each["price"] for each in plain["assemblies"]]
    article = made["lines"][-2]
    assert (article["sku"], article["group"], article["unit_price"]) == (
        "COTTER-1-16IN",
        "extra",
        "0.36",
    )  # from 10 on, since July, in prices.csv
    lines = D(plain["totals"]["lines"]) + D("45.50") + D(article["net"])
    off = sum(D(each["amount"]) for each in made["allowances"])
    assert all(D(each["amount"]) == round(D(each["base"]) / 10 + D("0.000001"), 2) for each in made["allowances"])  # half up, to the cent
    assert {each["reason"] for each in made["allowances"]} == {"Winter"}
    assert (D(made["totals"]["lines"]), D(made["totals"]["allowances"])) == (lines, off)
    assert D(made["totals"]["tax_exclusive"]) == lines - off


@pytest.mark.parametrize("path", ["/v1/quotes", "/v1/quotes/preview"])
def test_a_publishable_key_adds_nothing_by_hand(app: Flask, quotes: Quotes, demo: dict[str, Any], path: str) -> None:
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    client, demo = app.test_client(), {**demo, "price_list": "retail"}
    long = {**demo, "assemblies": [{**copy.deepcopy(demo["assemblies"][0]), "tag": f"T{place}"} for place in range(60)]}
    for whole in (demo, long):
        answer = client.post(path, json={**whole, **BY_HAND}, headers=page)
        assert answer.status_code == 422
        assert [(each["pointer"], each["code"]) for each in answer.json["errors"]] == [
            ("#/extra_articles", "secret_key_only"),
            ("#/extra_lines", "secret_key_only"),
            ("#/discount", "secret_key_only"),
        ]
    assert client.post(path, json=demo, headers=page).status_code in (200, 201)


def test_the_shops_own_pages_are_under_such_a_key_and_add_nothing_either(served: Flask, demo: dict[str, Any]) -> None:
    demo["price_list"], demo["customer"] = "retail", {"name": "Asta Lindqvist", "email": "asta@example.org"}
    sent = {"once": str(uuid.uuid4()), "go": "send", "lang": "en"}
    for asked, status in (({**demo, **BY_HAND}, 422), (demo, 303)):
        answer = served.test_client().post("/form/sheet", data={**sent, "request": json.dumps(asked)})
        assert answer.status_code == status, answer.text[:300]


@pytest.mark.parametrize(
    ("changed", "pointer", "code"),
    [
        ({"extra_lines": [{**CALL_OUT, "unit_price": "-1"}]}, "#/extra_lines/0/unit_price", "not_an_amount"),
        ({"extra_lines": [{**CALL_OUT, "unit_price": 45.5}]}, "#/extra_lines/0/unit_price", "not_an_amount"),
        ({"extra_lines": [{**CALL_OUT, "quantity": "0"}]}, "#/extra_lines/0/quantity", "not_an_amount"),
        ({"extra_lines": [{**CALL_OUT, "tax_category": "VAT"}]}, "#/extra_lines/0/tax_category", "not_accepted"),
        ({"extra_lines": [{**CALL_OUT, "tax_category": "L"}]}, "#/extra_lines/0/tax_category", "unknown_tax_category"),
        ({"extra_lines": [{**CALL_OUT, "tax_rate": "7"}]}, "#/extra_lines/0/tax_rate", "unknown_tax_rate"),
        ({"extra_lines": []}, "#/extra_lines", "list_size"),
        ({"extra_articles": [ARTICLE, {**ARTICLE, "sku": "COTTER-1-16"}]}, "#/extra_articles/1/sku", "unknown_article"),
        ({"extra_articles": [{**ARTICLE, "quantity": "1.5"}]}, "#/extra_articles/0/quantity", "part_of_a_piece"),
        ({"extra_articles": [{**ARTICLE, "quantity": "0"}]}, "#/extra_articles/0/quantity", "not_an_amount"),
        ({"discount": {"text": "Winter", "reduction": "0 %"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "100.01 %"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "-5"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "1.005"}}, "#/discount/reduction", "unrounded_amount"),
        ({"discount": {"text": "Winter", "reduction": "900000000"}}, "#/discount/reduction", "more_than_the_lines"),
        ({"discount": {"reduction": "5"}}, "#/discount/text", "required"),
    ],
)
def test_an_article_that_cannot_be_added_is_refused_at_its_place(
    client: FlaskClient, demo: dict[str, Any], changed: dict[str, Any], pointer: str, code: str
) -> None:
    answer = client.post("/v1/quotes/preview", json={**demo, **changed})
    assert (answer.status_code, [(each["pointer"], each["code"]) for each in answer.json["errors"]]) == (422, [(pointer, code)])


def test_a_revision_says_what_was_added_and_what_was_taken_off(client: FlaskClient, demo: dict[str, Any]) -> None:
    first = client.post("/v1/quotes", json=demo)
    address = f"/v1/quotes/{first.json['id']}"
    second = client.post(f"{address}/revisions", json={**demo, **BY_HAND}, headers={"If-Match": first.headers["ETag"]})
    said = client.get(f"/v1/quotes/{second.json['id']}/difference").json
    causes = {(each["code"], each["pointer"]) for each in said["causes"]}
    assert {("added", "/extra_articles/0"), ("added", "/extra_lines/0"), ("now-given", "/discount")} <= causes
    effects = {each["pointer"]: each for each in said["effects"]}
    assert effects[f"/lines/{len(second.json['lines']) - 1}"]["code"] == "joins"
    assert {each["code"] for at, each in effects.items() if at.startswith("/allowances/")} == {"joins"}
    assert effects["/totals/payable"]["code"] == "other"
    assert "Further item 1" in " ".join(said["words"])
    assert "Further article 1" in " ".join(said["words"])
    assert "discount" in " ".join(said["words"]).lower()
    again = {**demo, **BY_HAND, "discount": {"text": "Winter", "reduction": "20.00"}}
    third = client.post(f"/v1/quotes/{second.json['id']}/revisions", json=again, headers={"If-Match": second.headers["ETag"]})
    said = client.get(f"/v1/quotes/{third.json['id']}/difference").json
    assert {each["pointer"] for each in said["causes"]} == {"/discount/reduction"}


WORK = {"work": [{"operation": "call_out"}, {"operation": "inspection", "quantity": "1.5"}, {"operation": "measure_old_wire"}]}


def with_work(demo: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The demo boat with work of the boat, of every assembly, and two splices on each piece of the first."""
    whole = {**copy.deepcopy(demo), **WORK, **more}
    whole["assemblies"][0]["work"] = [{"operation": "tail_splice", "quantity": "2"}]
    return whole


def test_work_of_the_shops_own_kinds_is_priced_by_its_tables(client: FlaskClient, demo: dict[str, Any]) -> None:
    """The demo's prices from July on: 60 + 4 % = 62.40 a call-out, 72 + 4 % = 74.88 an hour, 10.40 a wire measured, 29.12 a splice; trade takes 10 %
    off work: 62.40 - 6.24 = 56.16; 1.5 x 74.88 = 112.32, less 11.232 -> 11.23, is 101.09. Work is at 0 % (category Z).
    """
    demo["price_list"] = "trade"
    pieces = sum(each.get("quantity", 1) for each in demo["assemblies"])
    splices = 2 * demo["assemblies"][0].get("quantity", 1)
    plain = client.post("/v1/quotes/preview", json=demo).json
    made = client.post("/v1/quotes", json=with_work(demo)).json
    assert not plain["left_out"]
    own = [each for each in made["lines"] if each["rule"] == "work"]
    assert [(each["sku"], each["quantity"], each["unit"], each["unit_price"]) for each in own] == [
        ("WORK-MEASURE-OLD-WIRE", str(pieces), "each", "10.40"), ("WORK-TAIL-SPLICE", str(splices), "each", "29.12"),
        ("WORK-CALL-OUT", "1", "each", "62.40"), ("WORK-INSPECTION", "1.5", "hour", "74.88"),
    ]  # fmt: skip
    assert [each["net"] for each in own[2:]] == ["56.16", "101.09"]
    assert {(each["group"], each["tax"]["category"], each["tax"]["rate"]) for each in own} == {("labour", "Z", "0")}
    net = sum(D(each["net"]) for each in own)
    assert net == D("157.25") + sum(round(D(each["amount"]) * D("0.9") + D("0.000001"), 2) for each in own[:2])
    assert D(made["totals"]["lines"]) == D(plain["totals"]["lines"]) + net
    assert D(made["totals"]["payable"]) == D(plain["totals"]["payable"]) + net
    # the call-out and the hours are no assembly's
    borne, before = (sum(D(each["price"]["net"]) for each in quote["assemblies"]) for quote in (made, plain))
    assert borne - before == net - D("157.25")
    first = [(each["operation"], each["quantity"]) for each in made["assemblies"][0]["work"]]
    assert first[-2:] == [("measure_old_wire", 1), ("tail_splice", 2)]


@pytest.mark.parametrize("path", ["/v1/quotes", "/v1/quotes/preview"])
def test_a_publishable_key_asks_for_no_work_of_the_shops(app: Flask, quotes: Quotes, demo: dict[str, Any], path: str) -> None:
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    answer = app.test_client().post(path, json=with_work(demo, price_list="retail"), headers=page)
    assert answer.status_code == 422
    assert [(each["pointer"], each["code"]) for each in answer.json["errors"]] == [
        ("#/work", "secret_key_only"),
        ("#/assemblies/0/work", "secret_key_only"),
    ]


def test_work_that_the_shop_does_not_have_is_refused_with_the_nearest_and_the_list(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["work"] = [{"operation": "call_uot"}]
    demo["assemblies"][1]["work"] = [{"operation": "call_out"}]
    for path in ("/v1/quotes", "/v1/quotes/preview"):
        answer = client.post(path, json=demo)
        unknown, elsewhere = answer.json["errors"]
        assert (answer.status_code, unknown["pointer"], unknown["code"]) == (422, "#" + at("work", 0, "operation"), "unknown_operation")
        assert "did you mean 'call_out'?" in unknown["detail"]
        assert "call_out, mast_off_and_on, inspection, measure_old_wire, tail_splice" in unknown["detail"]
        assert (elsewhere["pointer"], elsewhere["code"]) == ("#/assemblies/1/work/0/operation", "not_at_an_assembly")


@pytest.mark.parametrize("quantity", ["0", "-1", "1000", 1.5])
def test_a_quantity_of_work_that_cannot_be_is_refused(client: FlaskClient, demo: dict[str, Any], quantity: object) -> None:
    answer = client.post("/v1/quotes/preview", json={**demo, "work": [{"operation": "inspection", "quantity": quantity}]})
    assert [(each["pointer"], each["code"]) for each in answer.json["errors"]] == [("#" + at("work", 0, "quantity"), "not_an_amount")]


def test_where_nothing_can_be_built_the_work_is_not_priced_either(client: FlaskClient, demo: dict[str, Any]) -> None:
    held = {**copy.deepcopy(demo["assemblies"][0]), "wire": {"construction": "1x19", "material": "316", "diameter": "3.3 mm"}}
    made = client.post("/v1/quotes/preview", json={**demo, **WORK, "assemblies": [held]}).json
    assert (made["lines"], made["totals"]["payable"]) == ([], None)
    assert ("added-by-hand-not-priced", "/work") in {(each["code"], each["pointer"]) for each in made["findings"]}


def test_a_revision_says_what_work_was_asked_for_otherwise(client: FlaskClient, demo: dict[str, Any]) -> None:
    first = client.post("/v1/quotes", json=with_work(demo))
    again = with_work(demo, work=[{"operation": "call_out"}, {"operation": "inspection", "quantity": "3"}])
    second = client.post(f"/v1/quotes/{first.json['id']}/revisions", json=again, headers={"If-Match": first.headers["ETag"]})
    said = client.get(f"/v1/quotes/{second.json['id']}/difference").json
    assert {(each["code"], each["pointer"]) for each in said["causes"]} == {
        ("other", at("work", 1, "quantity")),
        ("removed", at("work", 2)),
    }
    lines = {each["code"] for each in said["effects"] if each["pointer"].startswith("/lines/")}
    assert {"leaves", "other"} <= lines


def test_the_shops_work_stands_on_the_quotation_in_the_owners_language(client: FlaskClient, demo: dict[str, Any]) -> None:
    address = f"/v1/quotes/{client.post('/v1/quotes', json=with_work(demo)).json['id']}"
    for language, words in (
        ("en", ("Call-out to the boat", "1.5 h", "The further work listed below.", "Unless it is listed below:")),
        ("de", ("Anfahrt zum Boot", "1,5 h", "Die unten aufgeführten weiteren Arbeiten.", "Was nicht unten aufgeführt ist:")),
    ):
        page = client.get(f"{address}?format=html&lang={language}").text
        assert [each for each in words if each not in page.replace("\xa0", " ")] == []


def test_the_listing_says_what_each_kind_of_work_is_counted_by(client: FlaskClient) -> None:
    rows = client.get("/v1/catalogue/labour?counted_by=hour").json["rows"]
    assert [(each["operation"], each["over"], each["up_to"], each["time"]) for each in rows] == [("inspection", None, None, None)]
    assert {each["counted_by"] for each in client.get("/v1/catalogue/labour?operation=swage").json["rows"]} == {None}


def test_work_is_asked_for_in_a_table_of_assemblies_too() -> None:
    """A column of the assembly by its own name, one of the boat behind `request.`, as their notes are."""
    found = {each.name: (each.path, each.shared) for each in map(column_named, ("work.1.operation", "request.work.2.quantity")) if each}
    assert found == {"work.1.operation": (("work", 0, "operation"), False), "request.work.2.quantity": (("work", 1, "quantity"), True)}
    assert column_named("request.boat.name") is None
