"""The catalogue's tables over HTTP, with filters for forms, and the codes of findings."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.findings import CODES
from service.engine.engine import Engine
from tests.plain_yaml import read_yaml
from tests.service.contract import contract, judge_of

OWN_WORK = {
    "call_out": ("quote", ["quote"]), "mast_off_and_on": ("quote", ["quote"]), "inspection": ("hour", ["quote"]),
    "measure_old_wire": ("assembly", ["quote", "assembly"]), "tail_splice": ("each", ["quote", "assembly"]),
}  # fmt: skip


def test_the_catalogue_lists_its_tables_with_their_rows(client: FlaskClient, engine: Engine) -> None:
    listed = client.get("/v1/catalogue").json
    assert [each["kind"] for each in listed["kinds"]] == list(engine.catalogue.kinds())
    for each in listed["kinds"]:
        assert len(client.get(each["href"]).json["rows"]) == each["rows"]
        assert each["rows"] > 0 or each["kind"] == "sold_only"  # the demo shop computes from all that it sells
    assert "retail" in listed["price_lists"]


def test_the_catalogue_offers_the_shops_own_work_as_a_request_can_ask_for_it(client: FlaskClient, demo: dict[str, Any]) -> None:
    """What is listed, by hand from labour.csv of the demo shop; each is then asked for wherever the list says, and nowhere else."""
    offered = {each["operation"]: (each["counted_by"], each["asked_at"]) for each in client.get("/v1/catalogue").json["work"]}
    assert offered == OWN_WORK
    for operation, (counted_by, places) in offered.items():
        for place in ("quote", "assembly"):
            asked = {"operation": operation, **({"quantity": "1.5"} if counted_by == "hour" else {})}
            at_assembly = [{**demo["assemblies"][0], "work": [asked]}]
            body = {**demo, "work": [asked]} if place == "quote" else {**demo, "assemblies": at_assembly}
            answer = client.post("/v1/quotes/preview", json=body)
            assert (answer.status_code == 200) is (place in places), (operation, place, answer.text[:300])


def test_every_row_is_of_its_own_tables_shape_and_names_its_source(client: FlaskClient, engine: Engine) -> None:
    kinds = contract()["components"]["schemas"]["Kind"]["enum"]
    shapes = [
        each["$ref"].rpartition("/")[2]
        for each in contract()["components"]["schemas"]["CatalogueTable"]["properties"]["rows"]["items"]["anyOf"]
    ]
    assert list(engine.catalogue.kinds()) == kinds
    for kind, shape in zip(kinds, shapes, strict=True):
        for row in client.get(f"/v1/catalogue/{kind}").json["rows"]:
            assert judge_of(shape).complaints(row) == []
            assert row["source"]


@pytest.mark.parametrize(
    ("query", "holds"),
    [
        ({"family": "fork"}, lambda row: row["family"] == "fork"),
        ({"family": "stud", "hand": "left"}, lambda row: (row["family"], row["hand"]) == ("stud", "left")),
        ({"wire_sizes": "5 mm"}, lambda row: "5 mm" in {each["text"] for each in row["wire_sizes"]}),
        ({"constructions": "7x19"}, lambda row: "7x19" in row["constructions"]),
        ({"thread": ""}, lambda row: row["thread"] is None),
    ],
)
def test_any_field_filters_by_equality(client: FlaskClient, engine: Engine, query: dict[str, str], holds: object) -> None:
    found = client.get("/v1/catalogue/terminals", query_string=query).json["rows"]
    expected = [row for row in engine.catalogue.rows("terminals") if holds(row)]  # type: ignore[operator]
    assert found == expected
    assert 0 < len(found) < len(engine.catalogue.rows("terminals"))


def test_a_length_filters_in_any_unit(client: FlaskClient) -> None:
    # 3/8 in = 9.525 mm exactly (NIST SP 811, appendix B)
    as_inches, as_metric = (
        client.get("/v1/catalogue/pins", query_string={"diameter": size}).json["rows"] for size in ("3/8 in", "9.525 mm")
    )
    assert as_inches == as_metric
    assert as_inches


def test_a_filter_that_is_no_field_is_refused_with_the_fields_there_are(client: FlaskClient) -> None:
    answer = client.get("/v1/catalogue/pins?colour=red&diameter=8 mm&size=3")
    assert answer.status_code == 422
    assert [each["parameter"] for each in answer.json["errors"]] == ["colour", "size"]
    assert "double_shear" in answer.json["errors"][0]["detail"]


def test_the_tables_are_asked_for_again_only_when_they_changed(client: FlaskClient) -> None:
    for path in ("/v1/catalogue", "/v1/catalogue/wires", "/v1/catalogue/wires?construction=7x7"):
        first = client.get(path)
        assert client.get(path, headers={"If-None-Match": first.headers["ETag"]}).status_code == 304


def test_every_code_of_a_finding_is_explained(client: FlaskClient) -> None:
    listed = client.get("/v1/findings").json["findings"]
    assert [each["code"] for each in listed] == sorted(CODES)
    assert len(listed) > 20


def test_the_contract_is_served_as_it_stands(client: FlaskClient) -> None:
    answer = client.get("/openapi.yaml")
    assert answer.mimetype == "application/yaml"
    assert read_yaml(answer.data) == contract()


def test_every_demo_request_can_be_posted_back(client: FlaskClient) -> None:
    listed = client.get("/v1/demo-requests").json["demo_requests"]
    assert listed
    for each in listed:
        made = client.post("/v1/quotes", data=client.get(each["href"]).data, content_type="application/json")
        assert made.status_code == 201
        assert made.json["totals"]["payable"] != "0.00"
