"""Forms as no page of the desk sends them: they are refused in words, cheaply, and break nothing."""

from __future__ import annotations

from io import BufferedReader, BytesIO, RawIOBase
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.credentials.people import Role
from tests.desk.colleague import HOST, Colleague

SAME = {"Sec-Fetch-Site": "same-origin", "Origin": HOST, "Accept": "text/html"}


@pytest.mark.parametrize("origin", ["http://[", "http://[::1", "https://[x]"])
def test_an_origin_that_is_no_address_is_another_site(desk: Flask, origin: str) -> None:
    owner = Colleague(desk, Role.OWNER)
    assert owner.send(*owner.prepared("Deutsch"), Origin=origin).status_code == 403


@pytest.mark.parametrize("name", ["once", "seen"])
@pytest.mark.parametrize("text", ["a\nX-Other: b", "a\r\nb", "\u05d0", "a\0b", "é"])
def test_marks_that_no_header_can_carry_are_refused(desk: Flask, demo: dict[str, Any], name: str, text: str) -> None:
    quote = desk.test_client().post("/v1/quotes", json=demo).get_json()
    counter = Colleague(desk, Role.COUNTER)
    token = counter.prepared("Deutsch")[1]["form"]
    fields = {"form": token, "once": "", "seen": "", "reason": "Asked twice.", name: text}
    refused = counter.send(f"/desk/quotes/{quote['id']}/withdraw", fields)
    assert 400 <= refused.status_code < 500
    assert desk.test_client().get(f"/v1/quotes/{quote['id']}").get_json()["status"] == quote["status"]


def test_a_row_of_lines_with_a_number_beyond_all_rows(desk: Flask, demo: dict[str, Any]) -> None:
    quote = desk.test_client().post("/v1/quotes", json=demo).get_json()
    counter = Colleague(desk, Role.COUNTER)
    fields = {"form": counter.prepared("Deutsch")[1]["form"], f"text-{'9' * 5000}": "x"}
    assert counter.send(f"/desk/quotes/{quote['id']}/lines", fields).status_code < 500


@pytest.mark.parametrize(("at", "field"), [("/desk/tables", "files"), ("/desk/stock/file", "file")])
def test_a_table_with_an_endless_cell_is_refused(desk: Flask, at: str, field: str) -> None:
    owner = Colleague(desk, Role.OWNER)
    table = b'key;value\n"' + b"x" * 200_000 + b'";1\n'
    fields = {"form": owner.prepared("Deutsch")[1]["form"], field: (BytesIO(table), "terms.csv")}
    assert owner.send(at, fields).status_code == 422
    assert "a quotation mark is missing" in owner.text


def test_a_stranger_is_not_shown_a_form_of_countless_fields_again(desk: Flask) -> None:
    client = FlaskClient(desk, desk.response_class)
    sent = "&".join(f"a{each}=b" for each in range(50_000))
    refused = client.post("/desk/language", data=sent, content_type="application/x-www-form-urlencoded", headers=SAME)
    assert refused.status_code == 401
    assert len(refused.data) < 10_000


def test_a_stranger_is_not_shown_again_what_nobody_types(desk: Flask) -> None:
    """It stands in the page twice, and costs the more the longer it is."""
    refused = FlaskClient(desk, desk.response_class).post("/desk/language", data={"language": "<" * 300_000}, headers=SAME)
    assert refused.status_code == 401
    assert len(refused.data) < 10_000


def test_two_files_of_one_name_are_refused_and_none_of_them_counts(desk: Flask) -> None:
    owner = Colleague(desk, Role.OWNER)
    owner.go("/desk/tables")
    to, fields = owner.prepared("Send and check")
    files = next(name for name in fields if "file" in name)
    both = [(BytesIO(b"a,b\n"), "terms.csv"), (BytesIO(b"a,b\n"), "Terms.csv")]
    assert owner.send(to, {**fields, files: both}).status_code == 422
    assert "Two files of this name were chosen" in owner.text


class Unread(RawIOBase):
    """A body that must not be waited for."""

    def readable(self) -> bool:
        """As files say it."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Called by whoever reads."""
        raise AssertionError("the body was read")


@pytest.mark.parametrize(
    "at", ["/desk/sign-out", "/desk/nowhere", "/form", "/v1/quotes/00000000-0000-4000-8000-000000000000/reply?token=none"]
)
def test_a_strangers_large_form_is_refused_unread(desk: Flask, at: str) -> None:
    """Larger than what has arrived before a thread begins (service/server/buffering.py), so that the thread would wait for the stranger."""
    length = str(desk.extensions["settings"].max_body_bytes + 1)
    refused = FlaskClient(desk, desk.response_class).post(
        at, content_type="application/x-www-form-urlencoded", headers=SAME,
        environ_overrides={"CONTENT_LENGTH": length, "wsgi.input": BufferedReader(Unread())},
    )  # fmt: skip
    assert 400 <= refused.status_code < 500
    assert refused.mimetype == "text/html"


@pytest.mark.parametrize("field", ["&a", "&a=%FF"])
def test_a_form_of_countless_fields_is_refused_uncounted(desk: Flask, field: str) -> None:
    owner = Colleague(desk, Role.OWNER)
    fields = f"form={owner.prepared('Deutsch')[1]['form']}" + field * 100_000
    refused = owner.client.post("/desk/language", data=fields, content_type="application/x-www-form-urlencoded", headers=SAME)
    assert refused.status_code == 413
    assert "That is too large" in refused.text
