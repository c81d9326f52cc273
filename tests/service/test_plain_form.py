"""The plain form, walked through as by a browser without scripts."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.engine import Engine
from service.guard.keys import Kind
from service.storage import Quotes
from service.storage.answers import StillRunning
from tests.service.conftest import made_app
from tests.service.holders import kept_key
from tests.service.plain_form import Page, Visitor, cap_shroud, rest_of_it


@pytest.fixture
def visitor(served: Flask) -> Visitor:
    client = served.test_client()
    del client.environ_base["HTTP_AUTHORIZATION"]
    return Visitor(client)


def test_there_is_no_form_where_the_shop_set_no_key_for_it(client: FlaskClient) -> None:
    assert client.get("/form").status_code == 404
    assert client.post("/form", data={"go": "next"}).status_code == 404


@pytest.mark.parametrize("kind", [Kind.SECRET])
def test_a_secret_key_serves_no_form(engine: Engine, quotes: Quotes, kind: Kind) -> None:
    app = made_app(engine, quotes, form_key=kept_key(quotes, kind, scopes=["quotes:write"]))
    assert app.test_client().get("/form").status_code == 404


def test_an_owner_comes_from_the_first_page_to_the_quotation(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    assert visitor.step == "review"
    assert "Can be made from these numbers." in visitor.page.text
    assert "28.6 mm = 1 1/8 in" in visitor.page.text  # 1.125 in x 25.4 mm = 28.575 mm
    visitor.send(delivery="collect")
    assert visitor.answer.status_code == 303
    page = visitor.client.get(visitor.answer.headers["Location"])
    assert page.status_code == 200
    assert "Q-2026-000001" in page.text
    assert "Wagtail" in page.text


def test_a_page_sent_twice_makes_one_quote(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    places = []
    for _ in range(2):
        visitor.send()
        places.append(visitor.answer.headers["Location"])
    assert places[0] == places[1]
    assert len(list(quotes.page(10, None))) == 1


def test_a_page_sent_again_with_other_answers_is_refused(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.send(delivery="collect")
    visitor.send(delivery="ship")
    assert visitor.answer.status_code == 422


def test_a_page_sent_while_the_same_is_worked_on_is_409(visitor: Visitor, served: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def running(_: object) -> None:
        raise StillRunning

    cap_shroud(visitor)
    monkeypatch.setattr(served.extensions["answers"], "claim", running)
    visitor.send()
    assert (visitor.answer.status_code, visitor.answer.headers["Retry-After"]) == (409, "1")


def test_nothing_is_stored_and_no_cookie_set_before_a_quote_is_requested(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    assert "Set-Cookie" not in visitor.answer.headers
    assert visitor.answer.headers["Cache-Control"] == "no-store"
    assert not list(quotes.page(10, None))


def test_a_lost_slash_is_told_at_its_field(visitor: Visitor) -> None:
    visitor.press("next")
    visitor.press("next", role="cap_shroud", side="port", tag="CAP-P", turnbuckle="yes")
    for written, said in (("11 16 in", "11/16"), ("11 16", "no unit"), ("11 16", "11/16")):
        page = visitor.press(
            "next", turnbuckle__setting__upper_exposed=written, turnbuckle__setting__lower_exposed="5/8 in",
        )  # fmt: skip
        assert visitor.step == "before"
        fault = re.search(r'id="f-turnbuckle\.setting\.upper_exposed">([^<]*)<', page.html)
        assert fault is not None
        assert said in fault[1]
        assert 'href="#q-turnbuckle.setting.upper_exposed"' in page.html


def test_a_forgotten_second_setting_is_told_at_its_field(visitor: Visitor) -> None:
    visitor.press("next")
    visitor.press("next", role="cap_shroud", side="port", tag="CAP-P", turnbuckle="yes")
    page = visitor.press("next", turnbuckle__setting__upper_exposed="11/16 in")
    fault = re.search(r'id="f-turnbuckle\.setting\.lower_exposed">([^<]*)<', page.html)
    assert fault is not None
    assert "Measure it before anything is unscrewed" in fault[1]
    assert visitor.step == "before"


def test_both_settings_missing_is_told_at_the_review_with_the_way_back(visitor: Visitor) -> None:
    visitor.press("next")
    visitor.press("next", role="cap_shroud", side="port", tag="CAP-P", turnbuckle="yes")
    visitor.press("next")
    rest_of_it(visitor, "29 ft 10 3/16 in")
    assert "Cannot be made from these numbers yet." in visitor.page.text
    assert "before anything is unscrewed" in visitor.page.text
    assert "Thread showing at the upper screw" in visitor.page.text
    visitor.press("edit-0-before")
    assert visitor.step == "before"
    assert visitor.page.values["tag"] == ["CAP-P"]


def test_a_length_taken_to_the_pin_centre_is_converted_and_said(visitor: Visitor) -> None:
    cap_shroud(visitor)
    before = _finished(visitor)
    visitor.press("edit-0-length")
    visitor.press("next", measurement__lower_datum="pin_centre")
    # to the centre of a 3/8 in pin is half a pin less than to where it bears: 9.525/2 = 4.76 mm
    assert _finished(visitor) - before == pytest.approx(4.76, abs=0.02)
    assert "The centre of the pin" in visitor.page.text


def _finished(visitor: Visitor) -> float:
    from service.form.answering import request_of
    from service.form.described import described

    draft = json.loads(visitor.page.values["draft"][0])
    with visitor.client.application.app_context():
        request = request_of(described("en"), draft["w"], draft["a"])
    answer = visitor.client.application.test_client().post("/v1/quotes/preview", json=request)
    assert answer.status_code == 200, answer.json
    return float(answer.json["assemblies"][0]["target_length"]["mm"])


def test_a_copy_to_the_other_side_asks_settings_and_readings_anew(visitor: Visitor) -> None:
    cap_shroud(visitor)
    page = visitor.press("copy-0")
    assert (visitor.step, page.values["index"]) == ("before", ["1"])
    assert page.values["role"] == ["cap_shroud"]
    assert page.values["side"] == ["starboard"]
    assert page.values["tag"] == ["CAP-S"]
    assert page.values["turnbuckle.setting.upper_exposed"] == [""]
    draft: dict[str, Any] = json.loads(page.values["draft"][0])
    assert "measurement.readings" not in draft["a"][1]
    assert draft["a"][1]["wire.diameter"] == "3/16 in"


def test_an_assembly_can_be_removed_and_another_added(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    assert (visitor.step, visitor.page.values["index"]) == ("before", ["1"])
    visitor.press("next", role="forestay", side="centre", tag="FORE", turnbuckle="no")
    visitor.press("review")
    assert "Remove FORE" in visitor.page.text
    visitor.press("remove-1")
    assert "Remove FORE" not in visitor.page.text
    assert "Remove CAP-P" in visitor.page.text


def test_a_quote_for_an_unfinished_wire_is_refused_with_its_places(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    visitor.press("next", role="forestay", side="centre", tag="FORE", turnbuckle="no")
    visitor.press("review")
    page = visitor.send()
    assert visitor.answer.status_code == 200
    assert 'value="edit-1-wire"' in page.html
    assert not list(quotes.page(10, None))


@pytest.mark.parametrize(
    "draft", ["", "{}", "[]", '{"w":[],"a":{},"once":"x"}', "[" * 100_000, '{"w":{"evil":{}},"a":[{"tag":{}}],"once":1}']
)
def test_a_draft_that_somebody_made_up_begins_anew(visitor: Visitor, draft: str) -> None:
    answer = visitor.client.post("/form", data={"draft": draft, "step": "wire", "index": "7", "go": "send-9-x"})
    assert answer.status_code == 200
    assert Page(answer.text).values["step"] == ["boat"]


def test_what_an_owner_writes_stays_text(visitor: Visitor) -> None:
    page = visitor.press("check", boat__name='"><script>alert(1)</script>')
    assert "<script" not in page.html
    assert page.values["boat.name"] == ['"><script>alert(1)</script>']


def test_the_form_speaks_german_and_keeps_what_was_answered(visitor: Visitor) -> None:
    page = visitor.press("lang-de", boat__name="Seglerschule")
    assert '<html lang="de">' in page.html
    assert page.values["boat.name"] == ["Seglerschule"]
    assert "Weiter" in page.text


def test_what_the_engine_finds_is_said_in_german_before_its_english_words(visitor: Visitor) -> None:
    visitor.press("next")
    visitor.press("next", role="cap_shroud", side="port", tag="CAP-P", turnbuckle="yes")
    visitor.press("next")
    rest_of_it(visitor, "29 ft 10 3/16 in")
    page = visitor.press("lang-de")
    said = re.search(r"</b>: ([^<]+)<span class=\"small\" lang=\"en\">([^<]+)</span>", page.html)
    assert said is not None
    assert ("Gewinde" in said[1], "before anything is unscrewed" in said[2]) == (True, True)


def test_a_name_and_an_address_are_asked_for_before_the_quote_is_requested(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    page = visitor.press("send", customer__email="nowhere")
    assert visitor.answer.status_code == 200
    assert re.search(r'id="f-customer.name">Write your name', page.html)
    assert re.search(r'id="f-customer.email">[^<]*owner@example.org', page.html)
    assert "Can be made from these numbers." in page.text
    assert not list(quotes.page(10, None))


def test_enter_in_a_field_presses_the_button_that_goes_on(visitor: Visitor) -> None:
    """Implicit submission (HTML, 4.10.21.2): the first submit button in the order of the page."""
    assert visitor.page.buttons[0] == "next"
    cap_shroud(visitor)
    assert visitor.page.buttons[0] == "send"


def test_the_review_works_the_price_out_again(visitor: Visitor) -> None:
    cap_shroud(visitor)
    before = _as_it_stands(visitor.page)
    assert _as_it_stands(visitor.press("check", delivery="ship")) > before  # freight comes on top


def _as_it_stands(page: Page) -> float:
    found = re.search(r"As it stands:\s+([0-9.]+) USD", page.text)
    assert found is not None
    return float(found[1])


@pytest.mark.parametrize(("language", "words"), [("en", "Compacted 1x19: one smooth strand"), ("de", "1x19 verdichtet: eine glatte Litze")])
def test_wires_are_named_in_peoples_words(visitor: Visitor, language: str, words: str) -> None:
    visitor.press(f"lang-{language}") if language == "de" else None
    visitor.press("next")
    page = visitor.press("next", role="forestay", side="centre", tag="FORE", turnbuckle="no")
    assert visitor.step == "wire"
    assert words in page.text
    assert "compacted_1x19" not in page.text
