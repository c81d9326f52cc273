"""Query parameters: an endpoint accepts those that the contract lists, and refuses any other."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.service.contract import contract, resolved

ID = "01a21211-138e-7ff9-814a-1ce6de70983e"
OPERATIONS = [
    (method, path) for path, item in contract()["paths"].items() if path.startswith("/v1/") for method in ("get", "post", "delete") if method in item
]  # fmt: skip


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


def filled(path: str) -> str:
    """The path with something at its templates; parameters are judged before it is looked up."""
    for name, value in (("kind", "wires"), ("tag", "CAP-P"), ("name", "none"), *((each, ID) for each in ("id", "settlement", "question"))):
        path = path.replace(f"{{{name}}}", value)
    return path


@pytest.mark.parametrize(("method", "path"), OPERATIONS)
def test_a_parameter_that_an_address_does_not_take_is_refused_by_name(client: FlaskClient, method: str, path: str) -> None:
    answer = client.open(filled(path), method=method.upper(), query_string={"colour": "red"})
    assert answer.status_code == 422
    assert [each["parameter"] for each in answer.json["errors"]] == ["colour"]


@pytest.mark.parametrize(("method", "path"), OPERATIONS)
def test_a_parameter_given_twice_is_refused(client: FlaskClient, method: str, path: str) -> None:
    listed = [each["name"] for each in map(resolved, contract()["paths"][path][method].get("parameters", ())) if each["in"] == "query"]
    for name in listed:
        if name != "token":  # whose holder is known by it
            answer = client.open(filled(path), method=method.upper(), query_string=[(name, "5"), (name, "5")])
            assert (answer.status_code, "given_twice") == (422, answer.json["errors"][0]["code"]), (name, answer.text)


def test_a_misspelt_parameter_is_told_the_nearest(client: FlaskClient) -> None:
    assert "did you mean 'view'?" in client.get(f"/v1/quotes/{ID}?viev=whole").json["errors"][0]["detail"]


def test_a_probe_may_add_what_it_likes(client: FlaskClient) -> None:
    assert client.get("/livez?from=balancer").status_code == 200


@pytest.mark.parametrize(("method", "path"), OPERATIONS)
def test_the_parameters_that_a_view_names_are_those_of_the_contract(app: Flask, method: str, path: str) -> None:
    endpoint = app.url_map.bind("").match(filled(path), method=method.upper())[0]
    taken = getattr(app.view_functions[endpoint], "query_parameters", frozenset())
    listed = {each["name"] for each in map(resolved, contract()["paths"][path][method].get("parameters", ())) if each["in"] == "query"}
    assert taken is None or taken == listed


def test_an_id_may_be_written_in_capitals(client: FlaskClient, demo: dict[str, object]) -> None:
    made = client.post("/v1/quotes", json=demo).json["id"]
    assert client.get(f"/v1/quotes/{made.upper()}").json["id"] == made
    plan = client.post("/v1/cutting-plans", json={"quotes": [made.upper()]})
    assert (plan.status_code, plan.json["quotes"][0]["id"]) == (201, made)
