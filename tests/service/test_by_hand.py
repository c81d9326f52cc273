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

from service.credentials.keys import Kind
from service.storage import Quotes
from tests.service.holders import PAGE, bearing, kept_key

D = Decimal
CALL_OUT = {"text": "Call-out to the mooring", "quantity": "1", "unit_price": "45.50", "tax_category": "E"}
BY_HAND = {"extra_lines": [CALL_OUT], "discount": {"text": "Winter", "reduction": "10 %"}}


def test_what_is_added_by_hand_is_on_the_quote_and_in_its_totals(client: FlaskClient, demo: dict[str, Any]) -> None:
    plain = client.post("/v1/quotes/preview", json=demo).json
    made = client.post("/v1/quotes", json={**demo, **BY_HAND}).json
    line = made["lines"][-1]
    assert (line["name"], line["group"], line["net"], line["tax"]) == (CALL_OUT["text"], "extra", "45.50", {"category": "E", "rate": "0"})
    # the assemblies bear nothing of it
    assert [each["price"] for each in made["assemblies"]] == [each["price"] for each in plain["assemblies"]]
    lines = D(plain["totals"]["lines"]) + D("45.50")
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
        ({"discount": {"text": "Winter", "reduction": "0 %"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "100.01 %"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "-5"}}, "#/discount/reduction", "not_a_discount"),
        ({"discount": {"text": "Winter", "reduction": "1.005"}}, "#/discount/reduction", "unrounded_amount"),
        ({"discount": {"text": "Winter", "reduction": "900000000"}}, "#/discount/reduction", "more_than_the_lines"),
        ({"discount": {"reduction": "5"}}, "#/discount/text", "required"),
    ],
)
def test_what_cannot_be_added_is_refused_at_its_place(
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
    assert {("added", "/extra_lines/0"), ("now-given", "/discount")} <= causes
    effects = {each["pointer"]: each for each in said["effects"]}
    assert effects[f"/lines/{len(second.json['lines']) - 1}"]["code"] == "joins"
    assert {each["code"] for at, each in effects.items() if at.startswith("/allowances/")} == {"joins"}
    assert effects["/totals/payable"]["code"] == "other"
    assert "Further item 1" in " ".join(said["words"])
    assert "discount" in " ".join(said["words"]).lower()
    again = {**demo, **BY_HAND, "discount": {"text": "Winter", "reduction": "20.00"}}
    third = client.post(f"/v1/quotes/{second.json['id']}/revisions", json=again, headers={"If-Match": second.headers["ETag"]})
    said = client.get(f"/v1/quotes/{third.json['id']}/difference").json
    assert {each["pointer"] for each in said["causes"]} == {"/discount/reduction"}
