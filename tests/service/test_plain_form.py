"""The plain form, walked through as by a browser without scripts."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.credentials.keys import Kind
from service.engine.engine import Engine
from service.storage import Quotes
from service.storage.idempotency import StillRunning
from service.web_form.answering import visible
from service.web_form.reading import faults
from tests.service.conftest import made_app
from tests.service.holders import kept_key
from tests.service.plain_form import Page, Visitor, begun, cap_shroud, forestay, rest_of_it, walk_to_review

README = Path(__file__).parents[2] / "README.md"


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
    walk_to_review(visitor)
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
    visitor.send(request__note="by Friday")
    assert visitor.answer.status_code == 422


def test_where_to_is_asked_of_who_has_it_shipped(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    page = visitor.send(delivery="ship")
    assert re.search(r'id="f-customer.address.street">The shop needs it', page.html)
    visitor.send(customer__address__street="1 Quay", customer__address__postal_code="04101", customer__address__city="Falmouth")
    assert re.search(r'id="f-customer.telephone">Write a telephone number', visitor.page.html)
    visitor.send(customer__telephone="401")
    assert re.search(r'id="f-customer.telephone">Write a telephone number of at least five digits', visitor.page.html)
    visitor.send(customer__telephone="+1 401 555 0142")
    assert visitor.answer.status_code == 303
    (stored,) = quotes.page(10, None)
    asked = json.loads(quotes.with_request(stored.id)[1])["customer"]
    assert asked["telephone"] == "+1 401 555 0142"
    assert asked["address"] == {
        "street": "1 Quay",
        "postal_code": "04101",
        "city": "Falmouth",
    }


def test_address_and_further_details_are_folded_until_they_are_wanted_or_given(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    assert re.search(r"<details>\s*<summary>Address and further details <span", visitor.page.html)
    assert "customer.delivery_address.city" not in visitor.page.asked
    visitor.send(delivery="ship")
    assert re.search(r"<details open>\s*<summary>Address and further details</summary>", visitor.page.html)
    assert "customer.delivery_address.city" in visitor.page.asked
    visitor.send(
        delivery="collect", customer__delivery_address__city="Tern Point", customer__tax_number="XX000000000", customer__reference="JOB 12"
    )
    assert visitor.answer.status_code == 303
    (stored,) = quotes.page(10, None)
    asked = json.loads(quotes.with_request(stored.id)[1])
    assert asked["delivery"] == "collect"
    assert asked["customer"] == {
        "name": "Pelican Reach Sailing School",
        "email": "office@pelican-reach.example",
        "tax_number": "XX000000000",
        "reference": "JOB 12",
    }


def test_a_page_sent_while_the_same_is_worked_on_is_409(visitor: Visitor, served: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    def running(_: object) -> None:
        raise StillRunning

    cap_shroud(visitor)
    monkeypatch.setattr(served.extensions["idempotency_store"], "claim", running)
    visitor.send()
    assert (visitor.answer.status_code, visitor.answer.headers["Retry-After"]) == (409, "1")


def test_nothing_is_stored_and_no_cookie_set_before_a_quote_is_requested(visitor: Visitor, quotes: Quotes) -> None:
    walk_to_review(visitor)
    assert "Set-Cookie" not in visitor.answer.headers
    assert visitor.answer.headers["Cache-Control"] == "no-store"
    assert not list(quotes.page(10, None))


def test_a_lost_slash_is_told_at_its_field(visitor: Visitor) -> None:
    visitor.press("next")
    begun(visitor)
    for written, said in (("11 16 in", "11/16"), ("11 16", "no unit"), ("11 16", "11/16")):
        page = visitor.press(
            "next", turnbuckle__setting__upper_exposed=written, turnbuckle__setting__lower_exposed="5/8 in",
        )  # fmt: skip
        assert visitor.step == "before"
        (fault,) = re.findall(r'id="f-turnbuckle\.setting\.upper_exposed">([^<]*)<', page.html)
        assert said in fault
        assert 'href="#q-turnbuckle.setting.upper_exposed"' in page.html


def test_a_length_that_cannot_be_read_is_told_in_german_on_a_german_page_and_one_in_german_is_read(visitor: Visitor) -> None:
    german = Visitor(visitor.client, "de")
    german.press("next")
    begun(german)
    page = german.press("next", turnbuckle__setting__upper_exposed="1,234 mm", turnbuckle__setting__lower_exposed="5/8 Zoll")
    (fault,) = re.findall(r'id="f-turnbuckle\.setting\.upper_exposed">([^<]*)<', page.html)
    assert "lässt sich als 1.234 mm oder als 1234 mm lesen" in fault
    assert "15,9 mm = 5/8 Zoll" in page.text  # 0.625 in x 25.4 mm = 15.875 mm


def test_a_forgotten_second_setting_is_told_at_its_field(visitor: Visitor) -> None:
    visitor.press("next")
    begun(visitor)
    page = visitor.press("next", turnbuckle__setting__upper_exposed="11/16 in")
    (fault,) = re.findall(r'id="f-turnbuckle\.setting\.lower_exposed">([^<]*)<', page.html)
    assert "Measure this one, too, before anything is unscrewed" in fault
    assert visitor.step == "before"


def test_both_settings_missing_is_told_at_the_review_with_the_way_back(visitor: Visitor) -> None:
    visitor.press("next")
    begun(visitor)
    visitor.press("next", read_with="else")
    visitor.press("next")
    rest_of_it(visitor, "29 ft 10 3/16 in")
    assert "Cannot be made from these numbers yet." in visitor.page.text
    assert "Before anything is unscrewed" in visitor.page.text
    assert "Thread showing at the upper screw" in visitor.page.text
    visitor.press("edit-0-before")
    assert visitor.step == "before"
    assert visitor.page.values["place"] == ["cap_shroud port"]


def test_a_length_taken_to_the_pin_centre_is_converted_and_said(visitor: Visitor) -> None:
    cap_shroud(visitor)
    before = _finished(visitor)
    visitor.press("edit-0-length")
    visitor.press("next", measured_from="else")
    visitor.press("next", measurement__includes_turnbuckle="yes")
    visitor.press("next", measurement__lower_datum="pin_centre")
    # to the centre of a 3/8 in pin is half a pin less than to where it bears: 9.525/2 = 4.76 mm
    assert _finished(visitor) - before == pytest.approx(4.76, abs=0.02)
    assert "The centre of the pin" in visitor.page.text


def _finished(visitor: Visitor) -> float:
    from service.web_form.answering import request_of
    from service.web_form.described import described

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
    assert page.asked == ["alike", "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed"]
    assert page.values["turnbuckle.setting.upper_exposed"] == [""]
    draft: dict[str, Any] = json.loads(page.values["draft"][0])
    assert "measurement.readings" not in draft["a"][1]
    assert draft["a"][1]["wire.diameter"] == "3/16 in"
    assert draft["a"][1]["place"] == "cap_shroud starboard"
    visitor.press("next", alike="same", turnbuckle__setting__upper_exposed="1 1/4 in", turnbuckle__setting__lower_exposed="1 1/8 in")
    assert (visitor.step, visitor.page.asked) == ("length", ["measurement.readings"])  # four questions in all
    visitor.press("next", measurement__readings=["29 ft 10 3/8 in", "29 ft 10 5/16 in", ""])
    assert visitor.page.text.count("Can be made from these numbers.") == 2


def test_a_copy_that_differs_is_asked_everything(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("copy-0")
    page = visitor.press(
        "next", alike="differs", turnbuckle__setting__upper_exposed="1 1/4 in", turnbuckle__setting__lower_exposed="1 1/8 in"
    )
    assert (visitor.step, page.values["place"]) == ("before", ["cap_shroud starboard"])  # more is asked on this page, first
    visitor.press("next")
    assert (visitor.step, visitor.page.values["wire.diameter"]) == ("wire", ["3/16 in"])


def test_an_assembly_can_be_removed_and_another_added(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    assert (visitor.step, visitor.page.values["index"]) == ("before", ["1"])
    forestay(visitor)
    visitor.press("review")
    assert "Remove FORESTAY" in visitor.page.text
    visitor.press("remove-1")
    assert "Remove FORESTAY" not in visitor.page.text
    assert "Remove CAP-P" in visitor.page.text


def test_a_quote_for_an_unfinished_wire_is_refused_with_its_places(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    visitor.press("add")
    forestay(visitor)
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


def test_what_the_engine_finds_is_said_in_the_language_of_the_form(visitor: Visitor) -> None:
    visitor.press("next")
    begun(visitor)
    visitor.press("next", read_with="else")
    visitor.press("next")
    rest_of_it(visitor, "29 ft 10 3/16 in")
    assert "Before anything is unscrewed" in visitor.page.text
    page = visitor.press("lang-de")
    assert "bevor etwas losgedreht wird" in page.text
    assert "unscrewed" not in page.text


def test_a_name_and_an_address_are_asked_for_before_the_quote_is_requested(visitor: Visitor, quotes: Quotes) -> None:
    cap_shroud(visitor)
    page = visitor.press("send", customer__email="nowhere")
    assert visitor.answer.status_code == 200
    assert re.search(r'id="f-customer.name">Write your name', page.html)
    assert re.search(r'id="f-customer.email">[^<]*owner@example.org', page.html)
    assert "Can be made from these numbers." in page.text
    assert not list(quotes.page(10, None))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("owner.example.org", "The @ is missing."), ("owner@@example.org", "more than one @"), ("a@b.org, c@d.org", "more than one @"), ("owner@example", "the dot is missing"),
        ("the owner@example.org", "a space"), ("@example.org", "before the @"), ("owner@example.", "such as owner@example.org"), ("owner@.org", "such as owner@example.org"),
    ],
)  # fmt: skip
def test_an_e_mail_address_that_is_none_is_told_what_it_lacks(client: FlaskClient, typed: str, words: str) -> None:
    form = client.get("/v1/form").json
    (question,) = [each for each in form["questions"] if each["path"] == "customer.email"]
    asked = [each for each in visible(form, "request", {"customer.email": typed}) if each.path == "customer.email"]
    assert words in faults(asked, str)["customer.email"]
    assert "such as owner@example.org" in faults(asked, str)["customer.email"]
    assert not re.fullmatch(question["pattern"], typed)


@pytest.mark.parametrize("typed", ["owner@example.org", "o.w-n_e+r@a.b.example", "björn@münchen.example"])
def test_a_usual_e_mail_address_is_taken(client: FlaskClient, typed: str) -> None:
    asked = visible(client.get("/v1/form").json, "request", {"customer.email": typed})
    assert "customer.email" not in faults(asked, str)


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


@pytest.mark.parametrize(("language", "words"), [("en", "Compacted strand (1x19)"), ("de", "Verdichtete Litze (1x19)")])
def test_wires_are_named_in_peoples_words(visitor: Visitor, language: str, words: str) -> None:
    visitor.press(f"lang-{language}") if language == "de" else None
    visitor.press("next")
    page = forestay(visitor)
    assert visitor.step == "wire"
    assert words in page.text
    assert "compacted_1x19" not in page.text


def heard(visitor: Visitor) -> str:
    """What a screen reader hears of the drawing on the page; empty without one."""
    found = re.search(r'<desc id="drawn-says">(.*?)</desc>', visitor.answer.text)
    return html.unescape(found[1]) if found else ""


def test_the_wire_is_drawn_anew_with_each_page(visitor: Visitor) -> None:
    assert heard(visitor) == ""  # the boat has none
    visitor.press("next")
    assert heard(visitor) == "Upper end: not told yet. Wire: not told yet. Lower end: not told yet."


def test_the_drawing_beside_the_length_says_between_which_places_it_is_asked(visitor: Visitor) -> None:
    cap_shroud(visitor)
    visitor.press("edit-0-length")
    assert "To here: Toggle, the wall of the pin hole farthest from the wire." in heard(visitor)
    assert visitor.answer.text.count(">from here</text>") == 1
    visitor.press("check", measured_from="stud")
    assert "To here: Stud, swaged, the last thread." in heard(visitor)


def test_a_reading_without_units_is_offered_back_in_those_of_the_first_length(visitor: Visitor) -> None:
    """29 ft 10 1/4 in = 358.25 in, at 25.4 mm exactly: 9099.55 mm."""
    visitor.press("next", boat__name="Wagtail", boat__length_overall="27 ft 6")
    begun(visitor)
    visitor.press("next", turnbuckle__setting__upper_exposed="1 1/8", turnbuckle__setting__lower_exposed="1 1/16 in", read_with="caliper")
    assert visitor.page.buttons[:2] == ["next", "take-0-0-turnbuckle.setting.upper_exposed"]  # Enter goes on, and takes nothing
    assert " 1 1/8 in? " in " ".join(visitor.page.text.split())
    visitor.press("take-0-0-turnbuckle.setting.upper_exposed")
    assert visitor.page.values["turnbuckle.setting.upper_exposed"] == ["1 1/8 in"]
    visitor.press("next")
    rest_of_it(visitor, "29 10 1/4")
    visitor.press("check", measurement__readings=["29 10 1/4", "8,4", ""])
    assert [each for each in visitor.page.buttons if each.startswith("take")] == [
        "take-0-0-measurement.readings",
        "take-1-2-measurement.readings",
    ]
    assert "write '29 ft 10 1/4 in'" in visitor.page.text
    page = visitor.press("take-0-0-measurement.readings")
    assert page.values["measurement.readings"][:2] == ["29 ft 10 1/4 in", "8,4"]
    assert [each for each in page.buttons if each.startswith("take")] == ["take-1-2-measurement.readings"]  # the other is still to be said
    page = visitor.press("next", measurement__readings=["29 ft 10 1/4 in", "", ""])
    assert visitor.step == "review"
    assert "9099.6 mm = 29 ft 10 1/4 in" in page.text


@pytest.mark.parametrize("told", ["take-9-0-boat.length_overall", "take-0-9-boat.length_overall", "take-x-0-boat.length_overall", "take-0-0-boat.name", "take", "take-0", "take-0-0-nothing", "take-٣-0-boat.length_overall"])  # fmt: skip
def test_what_no_button_offered_is_not_taken(visitor: Visitor, told: str) -> None:
    visitor.press("check", boat__name="7", boat__length_overall="8,4")
    visitor.page.buttons.append(told)
    page = visitor.press(told)
    assert (visitor.answer.status_code, page.values["boat.length_overall"], page.values["boat.name"]) == (200, ["8,4"], ["7"])


def test_before_any_length_every_unit_is_offered_and_none_is_taken(visitor: Visitor) -> None:
    page = visitor.press("next", boat__length_overall="8,4")
    assert visitor.step == "boat"
    assert "write '8,4 mm', '8,4 m' or '8,4 in', whichever is meant" in page.text
    assert [each for each in page.buttons if each.startswith("take")] == [f"take-0-{at}-boat.length_overall" for at in range(3)]
    assert visitor.press("take-0-1-boat.length_overall").values["boat.length_overall"] == ["8,4 m"]


def test_what_lacks_for_a_price_is_said_in_a_few_words_and_then_the_price(visitor: Visitor) -> None:
    visitor.press("next", boat__name="Wagtail", boat__length_overall="27 ft 6 in")
    assert price_in(visitor.page) == "Price: place still missing."
    begun(visitor)
    assert price_in(visitor.page) == "Price: first details still missing."  # its place is told
    visitor.press(
        "next", turnbuckle__setting__upper_exposed="1 1/8 in", turnbuckle__setting__lower_exposed="1 1/16 in", read_with="caliper"
    )
    rest_of_it(visitor, "29 10 1/4")
    assert price_in(visitor.page) == "Price: length still missing."
    visitor.press("next", measurement__readings=["29 ft 10 1/4 in", "29 ft 10 1/4 in", ""])
    whole = re.search(r"As it stands: *([0-9.]+ USD)", " ".join(visitor.page.text.split()))
    assert whole is not None
    assert price_in(visitor.press("edit-0-length")) == f"{whole[1]} for 1 complete wire, with tax."
    visitor.press("next")
    page = visitor.press("add")
    assert price_in(page).startswith(f"{whole[1]} for 1 complete wire, with tax. Wire 2: place still missing.")
    assert price_in(visitor.press("lang-de")).startswith(f"{whole[1]} für 1 vollständigen Draht, mit Steuer. Draht 2: Ort fehlt noch.")


def price_in(page: Page) -> str:
    """What the page says of the price so far."""
    (found,) = re.findall(r'<p class="price">(.*?)</p>', page.html, re.DOTALL)
    return " ".join(re.sub("<[^>]*>", "", found).split())


def test_the_example_is_readmes_wire_at_one_press(visitor: Visitor, quotes: Quotes) -> None:
    """README's reply: the target 9098.833 mm, the cut 8886.2 mm."""
    page = visitor.press("example", boat__name="My Own", boat__length_overall="8,4 m")
    assert visitor.step == "review"
    assert re.search(r"Can be made from these numbers\.|something is to be confirmed", page.text)
    visitor.send()
    assert visitor.answer.status_code == 303
    (stored,) = quotes.page(10, None)
    body = quotes.with_request(stored.id)[1]
    asked = json.loads(body)
    assert asked["boat"] == {"name": "My Own", "length_overall": "8,4 m"}  # what was written stays
    readme = json.loads(re.search(r"```json\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)[1])  # type: ignore[index]
    assert asked["assemblies"][0]["measurement"] == readme["assemblies"][0]["measurement"]
    for part in ("wire", "upper", "lower", "role", "side"):
        assert asked["assemblies"][0][part] == readme["assemblies"][0][part], part
    assert asked["assemblies"][0]["turnbuckle"]["setting"] == readme["assemblies"][0]["turnbuckle"]["setting"]


def test_the_example_is_offered_only_before_there_is_a_wire(visitor: Visitor) -> None:
    assert "example" in visitor.page.buttons
    visitor.press("example")
    assert "example" not in visitor.press("edit-0-boat").buttons
    visitor.page.buttons.append("example")
    visitor.press("example")
    assert len(json.loads(visitor.page.values["draft"][0])["a"]) == 1


def test_of_two_screws_the_one_left_out_is_told_with_both_named(visitor: Visitor) -> None:
    visitor.press("next", boat__name="Wagtail")
    begun(visitor)
    page = visitor.press("next", turnbuckle__setting__upper_exposed="1 1/8 in", read_with="caliper")
    assert re.search(r'id="f-turnbuckle.setting.lower_exposed">Both screws are needed. Measure this one, too', page.html)


def test_a_tape_stands_at_the_readings_where_inches_are_used(visitor: Visitor) -> None:
    cap_shroud(visitor)
    page = visitor.press("edit-0-length")
    assert re.search(r'illustrations/tape\?lang=en" alt="An inch on a tape. From the longest mark to the shortest: 1/2', page.html)
    visitor.press("next")
    visitor.press("edit-0-boat")
    visitor.press("next", boat__length_overall="8.4 m")
    assert "illustrations/tape" not in visitor.press("edit-0-length").html
