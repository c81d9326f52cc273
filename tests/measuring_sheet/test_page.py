"""The sheet's page, as a browser without scripts uses it: get a sheet, send it, look it over, request a quote."""

from __future__ import annotations

import html
import io
import json
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.storage import Quotes
from service.storage.idempotency import StillRunning
from tests.counts import some_of
from tests.measuring_sheet.filling import ENGLISH, GERMAN, MEANT, NEW, WHOLE, XLSX, blank, cell_of, downloaded, table, text, workbook

PAGE = "/form/sheet"


@pytest.fixture
def visitor(served: Flask) -> FlaskClient:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return client


def upload(visitor: FlaskClient, body: bytes, name: str = "sheet.xlsx", language: str = "en") -> TestResponse:
    sent = {"sheet": (io.BytesIO(body), name), "lang": language, "go": "read"}
    return visitor.post(PAGE, data=sent, content_type="multipart/form-data")


def hidden(page: TestResponse) -> dict[str, str]:
    """The hidden fields of the form that requests the quote."""
    form = page.text.partition('<form method="post" action="/form/sheet">')[2].partition("</form>")[0]
    return {name: html.unescape(value) for name, value in re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form)}


def request_it(visitor: FlaskClient, page: TestResponse, **changed: str) -> TestResponse:
    return visitor.post(PAGE, data={**hidden(page), "go": "send", **changed})


def from_the_page(visitor: FlaskClient, **asked: str) -> bytes:
    answer = visitor.get(PAGE, query_string=asked)
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].startswith("attachment")
    return bytes(answer.data)


def sheet_for(visitor: FlaskClient, **asked: str) -> bytes:
    """The same sheet, from the address for programs."""
    return blank(visitor.application.test_client(), **asked)


def test_there_is_no_page_where_the_shop_set_no_key_for_it(client: FlaskClient) -> None:
    assert client.get(PAGE).status_code == 404
    assert client.post(PAGE, data={"go": "read"}).status_code == 404


def test_the_page_gives_the_same_sheets_as_the_address_for_programs(visitor: FlaskClient, served: Flask) -> None:
    for form in ("xlsx", "csv"):
        asked = {"format": form, "lang": "de", "units": "imperial", "assemblies": "3"}
        assert from_the_page(visitor, **asked) == downloaded(served.test_client(), **asked)
    assert visitor.get(f"{PAGE}?format=xlsx&assemblies=9999").status_code == 422
    assert visitor.get(f"{PAGE}?format=ods").status_code == 406


@pytest.mark.parametrize(("language", "row"), [("en", ENGLISH), ("de", GERMAN)])
def test_an_owner_comes_from_the_sheet_to_the_quotation(visitor: FlaskClient, served: Flask, language: str, row: dict[str, object]) -> None:
    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx", lang=language), WHOLE, [row]), language=language)
    assert page.status_code == 200
    assert f'<html lang="{language}">' in page.text
    assert "28.6 mm = 1 1/8 in" in page.text  # 1.125 in x 25.4 mm = 28.575 mm
    assert {"en": "<b>Can be made from these numbers.</b>", "de": "<b>Lässt sich aus diesen Zahlen machen.</b>"}[language] in page.text
    said = served.test_client().post("/v1/quotes/preview", json=MEANT).json
    assert f"<b>{said['totals']['payable']} {said['currency']}</b>" in page.text
    assert not re.search(r"(?<!no )\border", page.text.partition("<main>")[2])
    answer = request_it(visitor, page)
    assert answer.status_code == 303, answer.text
    quotation = visitor.get(answer.headers["Location"])
    assert "Q-2026-000001" in quotation.text
    assert "Wagtail" in quotation.text
    assert f'<html lang="{language}"' in quotation.text


def test_who_asks_is_asked_for_where_the_sheet_does_not_say(visitor: FlaskClient, quotes: Quotes) -> None:
    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx"), {"customer.name": "Asta Lindqvist"}, [ENGLISH]))
    assert re.findall(r'<input type="(\w+)" id="[^"]+" name="([^"]+)" required', page.text) == [("email", "customer.email")]
    assert "Write your e-mail address" in request_it(visitor, page).text
    assert not list(quotes.page(10, None))
    answer = request_it(visitor, page, **{"customer.email": "asta@boats.example", "customer.name": "Somebody Else"})
    assert answer.status_code == 303
    (stored,) = quotes.page(10, None)
    assert json.loads(quotes.with_request(stored.id)[1])["customer"] == {"name": "Asta Lindqvist", "email": "asta@boats.example"}


def test_where_to_is_asked_for_where_the_sheet_wants_delivery_and_does_not_say(visitor: FlaskClient, quotes: Quotes) -> None:
    whole = {**WHOLE, "delivery": "ship", "customer.address.city": "Tern Point", "customer.tax_number": "XX000000000"}
    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx"), whole, [ENGLISH]))
    asked = re.findall(r'name="([^"]+)" required autocomplete="([^"]+)"', page.text)
    assert asked == [
        ("customer.address.street", "street-address"),
        ("customer.address.postal_code", "postal-code"),
        ("customer.telephone", "tel"),
    ]
    told = {"customer.address.street": "1 Quay", "customer.address.postal_code": "00000"}
    assert "Write a telephone number" in request_it(visitor, page, **told).text
    answer = request_it(visitor, page, **told, **{"customer.telephone": "+1 401 555 0142", "customer.address.city": "Elsewhere"})
    assert answer.status_code == 303
    (stored,) = quotes.page(10, None)
    customer = json.loads(quotes.with_request(stored.id)[1])["customer"]
    assert customer["address"] == {"street": "1 Quay", "postal_code": "00000", "city": "Tern Point"}
    assert (customer["telephone"], customer["tax_number"]) == ("+1 401 555 0142", "XX000000000")


def test_each_bad_cell_stands_in_the_table_with_what_to_do(visitor: FlaskClient) -> None:
    sheet = sheet_for(visitor, format="xlsx")
    page = upload(visitor, workbook(sheet, WHOLE, [{**ENGLISH, "measurement.readings.1": "11 16 in", "side": "<b>left"}]))
    rows = re.findall(r'<tr><th scope="row">([A-Z0-9]+)</th><td>(.*?)</td><td>(.*?)</td></tr>', page.text)
    assert [(cell, html.unescape(written)) for cell, written, _ in rows] == [
        (cell_of(sheet, "measurement.readings.1"), "11 16 in"),
        (cell_of(sheet, "side"), "<b>left"),
    ]
    assert "11/16" in rows[0][2]
    assert "There are 2 places to look at." in page.text
    assert "request" not in hidden(page)


def test_the_quote_is_stored_once_however_often_the_page_is_sent(visitor: FlaskClient, quotes: Quotes) -> None:
    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx"), WHOLE, [ENGLISH]))
    assert not list(quotes.page(10, None))
    places = {request_it(visitor, page).headers["Location"] for _ in range(2)}
    assert len(places) == 1
    assert len(list(quotes.page(10, None))) == 1
    other = hidden(page)["request"].replace("Wagtail", "Gull")
    assert request_it(visitor, page, request=other).status_code == 422


def test_no_cookie_is_set_and_nothing_kept_by_a_browser(visitor: FlaskClient) -> None:
    for page in (visitor.get(PAGE), upload(visitor, b"x")):
        assert "Set-Cookie" not in page.headers
        assert "script-src" not in page.headers["Content-Security-Policy"]
        assert page.headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert page.headers["Cache-Control"] == "no-store"
        assert "<script" not in page.text


def test_a_page_sent_while_the_same_is_worked_on_is_409(visitor: FlaskClient, served: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def running(_: object) -> None:
        raise StillRunning

    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx"), WHOLE, [ENGLISH]))
    monkeypatch.setattr(served.extensions["idempotency_store"], "claim", running)
    assert request_it(visitor, page).status_code == 409


def test_what_is_said_on_a_german_page_of_a_length_and_of_a_choice_is_german(visitor: FlaskClient) -> None:
    sheet = sheet_for(visitor, format="xlsx", lang="de")
    page = upload(visitor, workbook(sheet, {}, [{**GERMAN, "measurement.readings.1": "11 16 in", "side": "links"}]), language="de")
    assert re.findall(r"<span( lang=\"en\")?>(.{9})[^<]*</span></td>", page.text) == [("", "In „11 16"), ("", "Schreiben")]


def test_a_wire_on_hold_is_shown_with_its_cell_and_left_out_of_the_price(visitor: FlaskClient) -> None:
    sheet = sheet_for(visitor, format="xlsx")
    page = upload(
        visitor, workbook(sheet, WHOLE, [ENGLISH, {**ENGLISH, **NEW, "tag": "CAP-S", "side": "starboard", "turnbuckle.pin": "9 mm"}])
    )
    assert "Cannot be made from these numbers yet." in page.text
    assert f"<b>{cell_of(sheet, 'turnbuckle.pin', 2)}</b>" in page.text
    assert "without the wires that cannot be made yet" in page.text


def test_what_the_engine_finds_is_said_in_the_language_of_the_page(visitor: FlaskClient) -> None:
    sheet = sheet_for(visitor, format="xlsx", lang="de")
    page = upload(visitor, workbook(sheet, WHOLE, [{**GERMAN, **NEW, "turnbuckle.pin": "9 mm"}]), language="de")
    (said,) = re.findall(r'<p class="words"><b>[A-Z]+\d+</b> <b>[^<]+</b>: ([^<]+)</p>', page.text)
    assert "Bolzen" in said
    assert not re.search(r"\b(pin|the|wire)\b", said)


def test_what_was_assumed_is_shown(visitor: FlaskClient) -> None:
    sheet = sheet_for(visitor, format="xlsx")
    row = {**ENGLISH, "measurement.readings.1": 358.25, "turnbuckle.pin": None}
    page = upload(visitor, workbook(sheet, {**WHOLE, "plain_numbers": "in"}, [row]))
    assert "358.25 in" in page.text
    assert "leave only" in page.text


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"go": "read"}, "Choose the file"),
        ({"go": "send", "request": "{", "once": "8e03978e-40d5-43dd-bc93-6894a57f9324"}, "nothing was requested"),
        ({"go": "send", "request": "{}", "once": "x"}, "nothing was requested"),
        ({"go": "send", "request": "{}", "once": "8e03978e-40d5-43dd-bc93-6894a57f9324"}, "Write your name"),
        ({"go": "send", "request": '{"customer":{"name":"x"}}', "once": "8e03978e-40d5-43dd-bc93-6894a57f9324"}, "Write your e-mail"),
        (
            {"go": "send", "request": '{"customer":{"name":"x","email":"x@y.example"}}', "once": "8e03978e-40d5-43dd-bc93-6894a57f9324"},
            "this field is required",
        ),
    ],
)
def test_a_page_that_comes_back_broken_is_reported(visitor: FlaskClient, quotes: Quotes, sent: dict[str, str], said: str) -> None:
    page = visitor.post(PAGE, data=sent)
    assert page.status_code == 200
    assert said in page.text
    assert not list(quotes.page(10, None))


@pytest.mark.parametrize("name", some_of(["sheet.csv", "SHEET.XLSX", "no-ending"], 2))
def test_the_kind_of_a_file_is_seen_from_the_file_and_not_from_its_name(visitor: FlaskClient, name: str) -> None:
    body = workbook(sheet_for(visitor, format="xlsx"), WHOLE, [ENGLISH])
    assert "The sheet was read" in upload(visitor, body, name).text
    rows = table(sheet_for(visitor, format="csv"), WHOLE, [ENGLISH], ",")
    assert "The sheet was read" in upload(visitor, text(rows).encode("utf-16"), name).text


def test_a_file_that_is_not_a_sheet_is_reported_in_german(visitor: FlaskClient) -> None:
    assert "Das ist kein Messblatt" in upload(visitor, b"Hallo", "x.csv", "de").text
    assert visitor.post(PAGE, data=b"x" * 2_000_001, content_type=XLSX).status_code == 413


def test_the_first_page_of_the_form_leads_to_the_sheet(visitor: FlaskClient) -> None:
    assert 'href="/form/sheet?lang=de"' in visitor.get("/form?lang=de").text


def test_no_price_list_but_the_usual_one_can_be_asked_for_from_the_page(visitor: FlaskClient, quotes: Quotes) -> None:
    page = upload(visitor, workbook(sheet_for(visitor, format="xlsx"), WHOLE, [ENGLISH]))
    changed = json.dumps({"price_list": "trade", **json.loads(hidden(page)["request"])})
    assert "the shop has: retail" in request_it(visitor, page, request=changed).text
    assert not list(quotes.page(10, None))
