"""Unreadable input is refused with a problem giving its place and the remedy, and the service goes on responding."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import EnvironBuilder

from tests.service.conftest import KEY

JSON = "application/json"


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.fixture(autouse=True)
def still_answering(client: FlaskClient) -> Iterator[None]:
    """After every refusal of this file the service answers as before, and stored nothing."""
    yield
    assert client.get("/livez").status_code == 200
    assert client.get("/v1/quotes").json["quotes"] == []


def refused(client: FlaskClient, body: Any, status: int, **options: Any) -> dict[str, Any]:
    """Post to both addresses; returns the problem."""
    raw = body if isinstance(body, bytes) else json.dumps(body).encode()
    for path in ("/v1/quotes/preview", "/v1/quotes"):
        answer = client.post(path, **{"data": raw, "content_type": JSON, **options})
        assert answer.status_code == status, answer.data[:500]
        assert answer.mimetype == "application/problem+json"
        assert answer.json["status"] == status
    found: dict[str, Any] = answer.json
    return found


def faults(problem: dict[str, Any]) -> set[tuple[str, str]]:
    return {(each["pointer"], each["code"]) for each in problem["errors"]}


@pytest.mark.parametrize("levels", [150, 250, 251, 252, 253, 254, 255, 600, 1000, 1100, 20_000])
@pytest.mark.parametrize("name", [b"lengths", b"l\\u0065ngths"])
def test_what_the_parser_still_reads_but_no_answer_could_repeat_is_refused(client: FlaskClient, name: bytes, levels: int) -> None:
    deep = b"[" * levels + b"]" * levels
    alone = client.post("/v1/lengths", data=b'{"%s":[%s]}' % (name, deep), content_type=JSON)
    if levels == 150:
        assert alone.status_code == 200
        refused(client, b'{"%s":%s}' % (name, deep), 422)
        return
    found = refused(client, b'{"%s":%s}' % (name, deep), 400)
    for problem in (alone.json, found):
        assert [(each["pointer"], each["code"]) for each in problem["errors"]] == [("#", "not_json")]
        assert "nested too deep" in problem["errors"][0]["detail"]


@pytest.mark.parametrize(
    ("body", "line", "column", "says"),
    [
        (b"", 1, 1, "empty"),
        (b'{"assemblies": NaN}', 1, 16, "expected a JSON value: this is not JSON; leave out a field that has no value"),
        ('{"note": "Möwe", "boat": None}'.encode(), 1, 26, "leave out a field that has no value"),
        (b'{"a": True}', 1, 7, "true in small letters"),
        (b'{"a": 1 // one\n}', 1, 9, "no comments"),
        (b'{"a": 1', 1, 8, "send all of it"),
        (b'{"a": ~}', 1, 7, "expected a JSON value"),
        (b'{\n  "assemblies": [1 2]}', 2, 20, "expected ',' or ']'"),
        (b'{"a": 1e400}', 1, 7, "out of range"),
        (b'{"a": -Infinity}', 1, 8, "leave out a field"),
        (b'{"a": "' + "née".encode("latin-1") + b'"}', 1, 9, "not UTF-8"),
        ('{"a": "b"}'.encode("utf-16"), 1, 1, "not UTF-8"),
        (b'\xef\xbb\xbf{"a": 1}', 1, 1, "byte order mark"),
        (b'{"a": "\x00"}', 1, 8, "control character"),
        (b'{"a": "\\ud800"}', 1, 8, "surrogate"),
        (b"[" * 10_000, 1, 1026, "nested too deep"),
        (b'{"a":' * 10_000, 1, None, "nested too deep"),
        (b'{"a": 1,}', 1, 8, "trailing comma"),
        (b"{'a': 1}", 1, 2, "double quotation marks"),
        (b'{"a": 1} {"b": 2}', 1, 10, "after document"),
        (b"<html>", 1, 1, ""),
    ],
)
def test_a_body_that_is_no_json_is_400_with_line_and_column(
    client: FlaskClient, body: bytes, line: int, column: int | None, says: str
) -> None:
    problem = refused(client, body, 400, environ_overrides={"CONTENT_LENGTH": str(len(body))})
    (found,) = problem["errors"]
    assert (found["pointer"], found["code"], found["line"]) == ("#", "not_json", line)
    assert column is None or found["column"] == column
    assert says in found["detail"]


def test_a_member_that_stands_twice_is_refused_by_name_and_not_read_as_the_last(client: FlaskClient) -> None:
    for body in (b'{"boat": {}, "boat": {"name": "x"}}', b'{"note": "\\u0041", "boat": {"name": "a", "name": "a"}}'):
        problem = refused(client, body, 400)
        (found,) = problem["errors"]
        assert problem["code"] == found["code"] == "duplicate_member"
        assert "'boat'" in found["detail"] or "'name'" in found["detail"]


@pytest.mark.parametrize(
    ("body", "line", "column"),
    [
        (b'{"boat": {}, "boat": {"name": "x"}}', 1, 14),
        (b'{"boat": {},\n "no\\u0074e": "{",\n  "note": "a"}', 3, 3),  # the same name, written otherwise
        ('{"note": "Größe: \\"x\\": [", "boat": [{"a": 1}, {"a": 1, "a" : 2}]}'.encode(), 1, 57),
    ],
)
def test_a_member_that_stands_twice_is_shown_where_it_stands_again(client: FlaskClient, body: bytes, line: int, column: int) -> None:
    """Lines and characters counted by hand, from 1."""
    (found,) = refused(client, body, 400)["errors"]
    assert (found["code"], found["line"], found["column"]) == ("duplicate_member", line, column)


def test_names_and_texts_with_colons_and_quotes_are_not_taken_for_doubles(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["note"] = 'first: "a": 1, second: \\"a\\": 2'
    answer = client.post("/v1/quotes/preview", data=json.dumps(demo), content_type=JSON)
    assert answer.status_code == 200
    assert answer.json["note"] == demo["note"]


def test_a_bare_number_as_a_length_is_refused_with_the_remedy(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][0]["measurement"]["readings"] = [9568, "9568"]
    problem = refused(client, demo, 422)
    at = "#/assemblies/0/measurement/readings"
    assert faults(problem) == {(f"{at}/0", "bare_number"), (f"{at}/1", "bare_number")}
    assert "9568 mm" in problem["errors"][0]["detail"]


def test_what_is_said_of_customer_and_boat_is_told_as_it_was_written(client: FlaskClient, demo: dict[str, Any]) -> None:
    address = {"street": "4 Gannet Wharf", "city": "Tern Point", "region": "ME", "postal_code": "00001", "country": "US"}
    named = {"name": "Tern Point Sailing School", "reference": "HULL-07", "email": "rig@example.org", "telephone": "+1 401 555 0142"}
    customer = {
        **named,
        "tax_number": "XX000000000",
        "address": {**address, "street": "3 Pelican Quay"},
        "delivery_address": address,
        "external_id": "C-1042",
    }
    demo |= {"customer": customer, "boat": {"name": "Kittiwake", "length_overall": "8.4 m", "external_id": "B-0007"}}
    answer = client.post("/v1/quotes/preview", json=demo)
    assert (answer.status_code, answer.json["customer"]) == (200, customer)
    assert answer.json["boat"] == {"name": "Kittiwake", "length_overall": {"mm": "8400"}, "external_id": "B-0007"}


@pytest.mark.parametrize(
    ("address", "at", "code"),
    [
        ({}, "", "empty_address"), ({"street": " "}, "/street", "length"), ({"city": "x" * 121}, "/city", "length"),
        ({"region": "a\nb"}, "/region", "not_printable"), ({"postal_code": 4711}, "/postal_code", "not_text"), ({"country": "us"}, "/country", "not_a_country"),
        ({"country": "USA"}, "/country", "not_a_country"), ({"country": ""}, "/country", "not_a_country"), ({"country": 1}, "/country", "not_a_country"), ({"country": "ＵＳ"}, "/country", "not_a_country"), ({"zip": "1"}, "/zip", "unknown_field"),
        ("3 Pelican Quay", "", "not_an_object"), (None, "", "null"),
    ],
)  # fmt: skip
def test_an_address_that_is_none_is_refused_at_its_place(
    client: FlaskClient, demo: dict[str, Any], address: Any, at: str, code: str
) -> None:
    demo["customer"] = {"address": address, "delivery_address": address}
    assert faults(refused(client, demo, 422)) == {(f"#/customer/{name}{at}", code) for name in ("address", "delivery_address")}


@pytest.mark.parametrize("written", ["US", "usa", "", "Germany"])
def test_a_countrys_fault_says_how_a_country_is_written(client: FlaskClient, demo: dict[str, Any], written: str) -> None:
    demo["customer"] = {"address": {"country": f"{written}!"}}
    (found,) = refused(client, demo, 422)["errors"]
    assert found["detail"] == "write the country as two capital letters of ISO 3166-1, such as DE or US"


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("1234", "not_a_telephone"),
        ("+1 x", "not_a_telephone"),
        (" ", "length"),
        ("1" * 41, "length"),
        ("12345\n", "not_printable"),
        (4711, "not_text"),
    ],
)
def test_a_telephone_number_that_is_none_is_refused(client: FlaskClient, demo: dict[str, Any], written: Any, code: str) -> None:
    demo["customer"] = {"telephone": written}
    assert faults(refused(client, demo, 422)) == {("#/customer/telephone", code)}


@pytest.mark.parametrize("written", ["+1 401 555 0142", "(0431) 555-0142 ext. 7", "12345"])
def test_a_telephone_number_is_told_as_it_was_written(client: FlaskClient, demo: dict[str, Any], written: str) -> None:
    demo["customer"] = {"telephone": written}
    answer = client.post("/v1/quotes/preview", json=demo)
    assert (answer.status_code, answer.json["customer"]["telephone"]) == (200, written)


@pytest.mark.parametrize("tag", [".", ".."])
def test_a_tag_that_no_address_can_end_in_is_refused(client: FlaskClient, demo: dict[str, Any], tag: str) -> None:
    """A browser takes such a step out of an address before it asks, percent-encoded too (RFC 3986, 5.2.4; URL Standard, "double-dot URL path segment")."""
    demo["assemblies"][1]["tag"] = tag
    problem = client.post("/v1/quotes/preview", json=demo).json
    assert [(each["pointer"], each["code"]) for each in problem["errors"]] == [("#/assemblies/1/tag", "only_dots")]
    demo["assemblies"][1]["tag"] = "..."
    assert client.post("/v1/quotes/preview", json=demo).status_code == 200


def test_two_equal_tags_are_refused_at_the_second(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][2]["tag"] = demo["assemblies"][0]["tag"]
    assert faults(refused(client, demo, 422)) == {("#/assemblies/2/tag", "duplicate_tag")}


def test_equal_tags_are_told_even_where_something_else_is_wrong(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][1]["tag"] = demo["assemblies"][0]["tag"]
    demo["assemblies"][1]["role"] = "mast"
    demo["assemblies"][3]["side"] = "left"
    demo["price_list"] = "friends"
    expected = {
        ("#/assemblies/1/tag", "duplicate_tag"),
        ("#/assemblies/1/role", "not_accepted"),
        ("#/assemblies/3/side", "not_accepted"),
        ("#/price_list", "unknown_price_list"),
    }
    assert faults(refused(client, demo, 422)) == expected


def test_an_unknown_price_list_is_refused_with_those_the_shop_has(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["price_list"] = "friends"
    (found,) = refused(client, demo, 422)["errors"]
    assert "retail" in found["detail"]


def test_an_unknown_field_is_refused_with_those_there_are_and_its_name_is_escaped(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][0]["upper"]["a/b~c d"] = 1
    (found,) = refused(client, demo, 422)["errors"]
    # RFC 6901: ~ is ~0 and / is ~1, section 3; a space in a URI fragment is %20, section 6
    assert found["pointer"] == "#/assemblies/0/upper/a~1b~0c%20d"
    assert "terminal, attachment" in found["detail"]


@pytest.mark.parametrize("body", [b"null", b"[]", b"3", b'"x"', b"true"])
def test_json_that_is_no_object_is_422(client: FlaskClient, body: bytes) -> None:
    assert faults(refused(client, body, 422)) == {("#", "not_an_object")}


def test_a_null_and_a_null_byte_inside_text_are_refused_at_their_place(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["boat"] = {"name": "a\0b"}
    demo["customer"] = {"name": None}
    assert faults(refused(client, demo, 422)) == {("#/boat/name", "not_printable"), ("#/customer/name", "null")}


def test_five_megabytes_are_refused_by_their_announced_length(client: FlaskClient) -> None:
    problem = refused(client, b'{"note": "' + b"x" * 5_000_000 + b'"}', 413)
    assert "2000000" in problem["detail"]


def test_the_limit_is_not_passed_by_a_body_longer_than_it_says(client: FlaskClient) -> None:
    answer = client.post("/v1/quotes/preview", data=b"[" + b"1," * 600_000, environ_overrides={"CONTENT_LENGTH": "3"}, content_type=JSON)
    assert answer.status_code == 400  # three bytes were read, and they are no JSON


def test_a_body_without_a_length_is_411(app: Flask, client: FlaskClient) -> None:
    refused(client, b"{}", 411, headers={"Transfer-Encoding": "chunked"})
    for path in ("/v1/quotes", "/v1/quotes/preview"):
        environ = EnvironBuilder(
            path, method="POST", data=b"{}", content_type=JSON, headers={"Authorization": f"Bearer {KEY}"}
        ).get_environ()
        del environ["CONTENT_LENGTH"]
        with app.request_context(environ):
            assert app.full_dispatch_request().status_code == 411


def test_a_body_that_ends_early_is_400(client: FlaskClient) -> None:
    for path in ("/v1/quotes", "/v1/quotes/preview"):
        answer = client.post(path, data=b'{"a', environ_overrides={"CONTENT_LENGTH": "30"}, content_type=JSON)
        assert answer.status_code == 400


@pytest.mark.parametrize(
    ("content_type", "headers"),
    [
        ("text/plain", {}),
        ("", {}),
        ("application/xml", {}),
        ("application/json; charset=latin-1", {}),
        ("application/json; charset=utf-16", {}),
        (JSON, {"Content-Encoding": "gzip"}),
        (JSON, {"Content-Encoding": "br"}),
    ],
)
def test_another_type_charset_or_coding_is_415_with_what_is_accepted(
    client: FlaskClient, content_type: str, headers: dict[str, str]
) -> None:
    for path in ("/v1/quotes", "/v1/quotes/preview"):
        answer = client.post(path, data=b"{}", content_type=content_type, headers=headers)
        assert answer.status_code == 415
        assert answer.headers.get("Accept") == JSON or answer.headers.get("Accept-Encoding") == "identity"


def test_utf8_said_aloud_is_accepted(client: FlaskClient, demo: dict[str, Any]) -> None:
    for charset in ("utf-8", "UTF-8", '"utf-8"'):
        answer = client.post("/v1/quotes/preview", data=json.dumps(demo), content_type=f"application/json; charset={charset}")
        assert answer.status_code == 200


@pytest.mark.parametrize(
    "size", ["0 mm", "-5 mm", "9,568 mm", "1e3 mm", "11 16 in", "99999999 m", "1/99999999999 in", "NaN mm", "٣ mm", "9**9 mm", "5 cubits"]
)
def test_a_length_without_one_reading_is_refused(client: FlaskClient, demo: dict[str, Any], size: str) -> None:
    demo["assemblies"][0]["wire"]["diameter"] = size
    (found,) = refused(client, demo, 422)["errors"]
    assert found["pointer"] == "#/assemblies/0/wire/diameter"


@pytest.mark.parametrize("quantity", [0, -1, 1000, 1.5, "2", True, 1e300, 18446744073709551615])
def test_a_quantity_is_a_whole_number_from_1_to_999(client: FlaskClient, demo: dict[str, Any], quantity: object) -> None:
    demo["assemblies"][0]["quantity"] = quantity
    assert faults(refused(client, demo, 422)) == {("#/assemblies/0/quantity", "not_a_count")}


def test_a_whole_number_written_with_a_point_is_one(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][0]["quantity"] = 2.0
    answer = client.post("/v1/quotes/preview", data=json.dumps(demo), content_type=JSON)
    assert answer.json["assemblies"][0]["quantity"] == 2


def test_too_many_assemblies_are_refused_before_they_are_read(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"] = [{}] * 201
    problem = refused(client, demo, 422)
    assert faults(problem) == {("#/assemblies", "list_size")}
    assert problem["errors"][0]["detail"].endswith("these are 201: send the rest in another request")
    demo["assemblies"] = {}
    assert "between [ and ]" in refused(client, demo, 422)["errors"][0]["detail"]


def test_only_a_thousand_faults_are_shown_and_the_rest_counted(client: FlaskClient) -> None:
    problem = refused(client, {f"f{number}": 1 for number in range(2_000)}, 422)
    assert len(problem["errors"]) == 1000
    assert "The first 1000 of 2001 are shown." in problem["detail"]
