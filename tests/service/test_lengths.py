"""Lengths as typed, returned in both units."""

from __future__ import annotations

import pickle

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.schemas.failure import Failure


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


def test_each_length_is_told_in_both_units(client: FlaskClient) -> None:
    # 31 ft 4 5/16 in = 376.3125 in; 1 in = 25.4 mm exactly (NIST SP 811, appendix B): 9558.3375 mm
    found = client.post("/v1/lengths", json={"lengths": ["31 ft 4 5/16 in", {"value": "9.558", "unit": "m"}]}).json["lengths"]
    assert [each["fault"] for each in found] == [None, None]
    assert found[0]["length"]["metric"] == "9558.3 mm"
    assert found[0]["length"]["imperial"] == "31 ft 4 5/16 in"
    assert found[1]["length"]["imperial"] == "31 ft 4 5/16 in"  # 9558/25.4 = 376.299 in, to the nearest 1/32


@pytest.mark.parametrize(
    ("typed", "code", "remedy"),
    [
        ("11 16 in", "lost_slash", "11/16"),
        ("9558", "bare_number", "unit"),
        (9558, "bare_number", "9558 mm"),
        ("9,568 mm", "ambiguous_comma", "9568"),
        (None, "not_text", "text"),
        ("0 mm", "not_positive", "greater than zero"),
    ],
)
def test_what_cannot_be_read_has_the_fault_of_a_quote_and_spoils_no_other(
    client: FlaskClient, typed: object, code: str, remedy: str
) -> None:
    bad, good = client.post("/v1/lengths", json={"lengths": [typed, "5 mm"]}).json["lengths"]
    assert (bad["length"], bad["fault"]["code"]) == (None, code)
    assert remedy in bad["fault"]["detail"]
    assert good["length"]["metric"] == "5.0 mm"


@pytest.mark.parametrize(
    ("typed", "completed"),  # worked out by hand: every unit in which the number is no longer than 100 m, feet only where whole
    [
        ("8,4", {"8,4 mm": "metric", "8,4 m": "metric", "8,4 in": "imperial"}), ("29 10 1/4", {"29 ft 10 1/4 in": "imperial"}), ("29 10", {"29 ft 10 in": "imperial"}),
        ("9558", {"9558 mm": "metric"}), ("9 558", {"9 558 mm": "metric"}), ("9,558", {"9.558 m": "metric", "9558 mm": "metric", "9.558 in": "imperial"}),
        ("27", {"27 mm": "metric", "27 m": "metric", "27 in": "imperial", "27 ft": "imperial"}), ("400", {"400 mm": "metric", "400 in": "imperial"}),
        ("10 1/4", {"10 1/4 in": "imperial"}), ("3/8", {"3/8 in": "imperial"}), ("29 10¼", {"29 ft 10 1/4 in": "imperial"}), ("27 13", {}), ("11 16", {}), ("1 2 3 4", {}),
        ("27 Zollstock", {}), ("3/0", {}), ("9" * 60, {}),
    ],
)  # fmt: skip
def test_a_number_without_a_unit_is_answered_with_what_it_may_stand_for(client: FlaskClient, typed: str, completed: dict[str, str]) -> None:
    (bad,) = client.post("/v1/lengths", json={"lengths": [typed]}).json["lengths"]
    assert bad["length"] is None
    assert {each["text"]: each["system"] for each in bad["fault"]["completed"]} == completed
    assert all(f"'{each}'" in bad["fault"]["detail"] for each in completed)
    for each in client.post("/v1/lengths", json={"lengths": [*completed, "5 mm"]}).json["lengths"]:
        assert each["fault"] is None
    (german,) = client.post("/v1/lengths?lang=de", json={"lengths": [typed]}).json["lengths"]
    assert all(f"„{each}“" in german["fault"]["detail"] for each in completed)


def test_the_system_that_a_length_was_written_in_is_told(client: FlaskClient) -> None:
    sent = [
        "27 ft 6",
        "3/8 in",
        "27' 6\"",
        "11 Zoll",
        "8,4 m",
        "956,8 Zentimeter",
        {"value": "9", "unit": "ft"},
        {"value": "9558", "unit": "mm"},
    ]
    found = client.post("/v1/lengths", json={"lengths": sent}).json["lengths"]
    assert [each["length"]["system"] for each in found] == ["imperial"] * 4 + ["metric"] * 2 + ["imperial", "metric"]


def test_zero_is_a_length_where_it_is_said_to_be_one(client: FlaskClient) -> None:
    assert client.post("/v1/lengths", json={"lengths": ["0 mm"], "zero": True}).json["lengths"][0]["length"]["metric"] == "0.0 mm"


def test_a_sign_is_what_is_wrong_where_zero_is_a_length(client: FlaskClient) -> None:
    fault = client.post("/v1/lengths", json={"lengths": ["-1 in"], "zero": True}).json["lengths"][0]["fault"]
    assert (fault["code"], "leave the sign out" in fault["detail"], "greater than zero" in fault["detail"]) == ("not_positive", True, False)


@pytest.mark.parametrize(
    ("body", "code"), [({"lengths": "5 mm"}, "not_a_list"), ({}, "required"), ({"lengths": []}, "list_size"), ({"lengths": ["5 mm"], "x": 1}, "unknown_field")]
)  # fmt: skip
def test_what_is_no_list_of_lengths_is_refused(client: FlaskClient, body: object, code: str) -> None:
    answer = client.post("/v1/lengths", json=body)
    assert answer.status_code == 422
    assert code in {each["code"] for each in answer.json["errors"]}


def test_a_fault_is_said_in_the_language_asked_for(client: FlaskClient) -> None:
    asked = {"lengths": ["9568", "27 Fuß 6"]}
    answer = client.post("/v1/lengths?lang=de", json=asked)
    bare, read = answer.json["lengths"]
    assert bare["fault"]["detail"].startswith("„9568“ hat keine Einheit")
    assert (read["length"]["mm"], read["length"]["imperial"]) == ("8382", "27 Fuß 6 Zoll")  # 330 in at 25.4 mm
    assert answer.headers["Content-Language"] == "de"
    assert client.post("/v1/lengths", json=asked).json["lengths"][0]["fault"]["detail"].startswith("'9568' has no unit")
    assert client.post("/v1/lengths?lang=fr", json=asked).status_code == 422


def test_a_fault_keeps_its_words_and_its_translation_on_its_way_from_another_process() -> None:
    sent = Failure("lost_slash", "'%(body)s' may have lost a slash", {"body": "11 16"})
    found = pickle.loads(pickle.dumps(sent))  # noqa: S301  # our own bytes
    assert (found, found.code) == ("'11 16' may have lost a slash", "lost_slash")
    assert found.translated(lambda _: "In „%(body)s“ fehlt etwas") == "In „11 16“ fehlt etwas"
