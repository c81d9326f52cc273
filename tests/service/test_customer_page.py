"""The quotation's page as a customer opens it by a link: every link and form of it works, and only a form that is sent decides."""

from __future__ import annotations

import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.engine.engine import Engine
from service.http.preconditions import is_of
from service.storage import Quotes, Stored
from tests.service.conftest import made_app
from tests.service.customer_page import XHTML, Customer
from tests.service.steps import settled
from tests.service.test_questions import at
from tests.service.test_settlements import asking

NAME = "Asta Lindqvist"
KNOWN = {"open": "as_listed", "understood": "The wire's size is still to be checked; I know that."}


def plain(client: FlaskClient, demo: dict[str, Any]) -> Any:
    """A quote of one wire that asks nothing."""
    made = settled(client, client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json)
    assert made["left_out"] == []
    return made


def visiting(app: Flask, quote: Any, language: str = "en") -> Customer:
    href = app.test_client().post(at(quote, "/links"), json={}).json["href"]
    return Customer(app, href, language)


def types(client: FlaskClient, quote: Any) -> list[str]:
    return [each["type"] for each in client.get(at(quote, "/events")).json["events"]]


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_link_and_form_of_the_page_works_with_its_token(app: Flask, client: FlaskClient, demo: dict[str, Any], language: str) -> None:
    asked = {**demo, "assemblies": [{**demo["assemblies"][0], "tag": "CAP P 100%?"}]}
    made = settled(client, client.post("/v1/quotes", json=asked).json)
    customer = visiting(app, made, language)
    assert customer.reply.status_code == 200
    links, kinds = customer.links(), set()
    for each in links:
        reply = customer.client.get(each)
        assert reply.status_code == 200, (each, reply.text)
        kinds.add(reply.mimetype)
        assert reply.headers.get("Content-Language", language) == language
    assert kinds == {"application/pdf", "image/svg+xml", "application/json"}
    assert len(links) == 2 + 1 + len(made["assemblies"])  # data and PDF, the rig's sheet, a drawing each
    assert set(customer.forms()) == {"accept", "decline", "ask"}
    for kind in ("ask", "decline"):
        reply = customer.press(kind, words="Why so dear?", reason="Too dear.")
        assert (reply.status_code, reply.mimetype, reply.headers["Content-Language"]) == (200, "text/html", language)


def test_the_page_is_kept_nowhere_tells_nobody_and_posts_only_home(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = plain(client, demo)
    headers = visiting(app, made).reply.headers
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Cache-Control"] == "no-store"
    assert "Set-Cookie" not in headers
    policy = headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "form-action 'self'" in policy
    assert not re.search("script|unsafe", policy)
    for_the_shop = client.get(f"{at(made, '')}?format=html")
    assert "form-action 'none'" in for_the_shop.headers["Content-Security-Policy"]
    assert "<form" not in for_the_shop.text


def test_a_customer_accepts_and_finds_it_said_on_the_page(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = plain(client, demo)
    customer = visiting(app, made)
    assert types(client, made)[-1] == "quote.settled" or types(client, made) == ["quote.issued"]  # to look is not to accept
    prepared = customer.prepared("accept", name=f" {NAME} ")
    assert customer.send(*prepared).status_code == 200
    assert f"Accepted by {NAME} on " in customer.text
    assert set(customer.forms()) == {"ask"}
    accepted = client.get(at(made, "")).json["accepted"]
    assert (accepted["by"], accepted["open"], accepted["understood"]) == (NAME, None, None)
    again = customer.send(*prepared)  # the button pressed twice: answered alike, and done once
    assert (again.status_code, types(client, made).count("quote.accepted")) == (200, 1)
    assert client.get(at(made, "/events")).json["events"][-1]["key"] is None


def test_what_is_open_is_accepted_only_with_the_box_ticked_and_own_words(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    customer = visiting(app, made)
    assert "Something is still to be confirmed" not in customer.text
    words = KNOWN["understood"]
    unticked = customer.press("accept", name=NAME, understood=words)
    assert unticked.status_code == 409
    assert "tick the box" in customer.text
    assert customer.prepared("accept")[1]["understood"] == words  # nothing is lost
    wordless = customer.press("accept", open="as_listed", understood=" ")
    assert wordless.status_code == 422
    assert client.get(at(made, "")).json["status"] == "issued"
    assert customer.prepared("accept")[1]["name"] == NAME
    assert customer.press("accept", **KNOWN).status_code == 200
    assert words in customer.text
    accepted = client.get(at(made, "")).json["accepted"]
    assert (accepted["by"], accepted["open"], accepted["understood"]) == (NAME, "as_listed", words)


def test_a_customer_declines_with_a_reason(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = plain(client, demo)
    customer = visiting(app, made, "de")
    assert customer.press("decline", reason="Nicht dieses Jahr.\r\nVielleicht nächstes.").status_code == 200
    assert customer.forms() == {}
    assert "abgelehnt" in customer.text
    event = client.get(at(made, "/events")).json["events"][-1]
    assert (event["type"], event["note"]) == ("quote.declined", "Nicht dieses Jahr.\nVielleicht nächstes.")


def test_questions_are_counted_down_and_answers_stand_on_the_page(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = plain(client, demo)
    customer = visiting(app, made)
    assert "5 more questions can be asked here" in customer.text
    for place in range(4):
        assert customer.press("ask", words=f"Question {place}?").status_code == 200
    assert "One more question can be asked here" in customer.text
    sixth = customer.prepared("ask", words="One too many?")
    assert customer.press("ask", words="Question 4?").status_code == 200
    assert "No more questions can be asked here" in customer.text
    assert "ask" not in customer.forms()
    assert customer.send(sixth[0], {**sixth[1], "once": "8e03978e-40d5-43dd-bc93-6894a57f9324"}).status_code == 409
    assert "One too many?" in customer.text
    asked = client.get(at(made)).json["questions"]
    assert [each["words"] for each in asked] == [f"Question {place}?" for place in range(5)]
    client.post(at(made, f"/questions/{asked[1]['id']}/answer"), json={"words": "In May.", "by": "Jo Marsh"})
    customer.go(customer.at)
    assert re.search(r"Question 1\? Answered by Jo Marsh on [^:]+: In May\.", customer.text)
    assert customer.text.count("The shop has not answered yet.") == 4


def test_a_quote_that_changed_is_told_in_words_and_what_was_written_is_kept(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    customer = visiting(app, made)
    prepared = customer.prepared("accept", name=NAME, **KNOWN)
    settled(client, made)
    changed = customer.send(*prepared)
    assert changed.status_code == 412
    assert "The quotation has changed since you opened this page" in customer.text
    assert client.get(at(made, "")).json["status"] == "issued"
    assert customer.prepared("accept")[1]["name"] == NAME
    assert "understood" not in customer.prepared("accept")[1]  # nothing is open any more
    assert customer.press("accept").status_code == 200
    assert client.get(at(made, "")).json["accepted"]["understood"] is None


@pytest.mark.parametrize(("change", "status"), [("withdrawal", "withdrawn"), ("revisions", "superseded by a later revision")])
def test_what_can_no_longer_be_answered_says_so_and_keeps_the_words(
    app: Flask, client: FlaskClient, demo: dict[str, Any], change: str, status: str
) -> None:
    made = plain(client, demo)
    customer = visiting(app, made)
    prepared = [customer.prepared("decline", reason="Too dear, sorry."), customer.prepared("ask", words="Cheaper?")]
    body = {} if change == "withdrawal" else {**demo, "assemblies": demo["assemblies"][:1]}
    assert client.post(at(made, f"/{change}"), json=body).status_code in (200, 201)
    for each, words in zip(prepared, ("Too dear, sorry.", "Cheaper?"), strict=True):
        assert customer.send(*each).status_code == 409
        assert "This is no longer possible" in customer.text
        assert f"Status: {status}." in customer.text
        assert words in customer.text
        assert customer.forms() == {}


def test_two_who_accept_at_once_are_one_and_the_other_is_told(store: Quotes, engine: Engine, demo: dict[str, Any]) -> None:
    app = made_app(engine, store)
    client = app.test_client()
    made = plain(client, demo)
    couple = [visiting(app, made), visiting(app, made)]
    names = [NAME, "Tjark Lindqvist"]
    with ThreadPoolExecutor(2) as pool:
        replies = list(pool.map(lambda each: each[0].press("accept", name=each[1]), zip(couple, names, strict=True)))
    assert sorted(each.status_code for each in replies) == [200, 409]
    by = client.get(at(made, "")).json["accepted"]["by"]
    assert by == names[[each.status_code for each in replies].index(200)]
    late = next(each for each in couple if each.reply.status_code == 409)
    assert f"Accepted by {by} on " in late.text
    assert types(client, made).count("quote.accepted") == 1


def test_one_button_pressed_twice_at_once_asks_once(store: Quotes, engine: Engine, demo: dict[str, Any]) -> None:
    app = made_app(engine, store)
    made = plain(app.test_client(), demo)
    customer = visiting(app, made)
    to, fields = customer.prepared("ask", words="Once?")
    with ThreadPoolExecutor(2) as pool:
        replies = list(pool.map(lambda _: customer.client.post(to, data=fields).status_code, range(2)))
    assert set(replies) <= {303, 409}
    assert 303 in replies
    other = customer.send(to, {**fields, "words": "Or twice?"})
    assert other.status_code == 422
    assert "sent before, with other words" in customer.text
    assert customer.prepared("ask")[1]["words"] == "Or twice?"
    assert len(app.test_client().get(at(made)).json["questions"]) == 1


def test_the_token_of_another_quote_or_of_an_ended_link_decides_nothing(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made, other = plain(client, demo), plain(client, demo)
    customer, stranger = visiting(app, made), visiting(app, other)
    to, fields = customer.prepared("accept", name=NAME)
    assert customer.client.get(to).status_code == 303  # to the page, which decides nothing
    theirs = stranger.prepared("accept", name=NAME)[0].partition("?")[2]
    assert stranger.client.post(f"{to.partition('?')[0]}?{theirs}", data=fields).status_code == 401
    assert stranger.client.post(to.partition("?")[0], data=fields).status_code == 401
    assert client.post(at(made, "/links/end"), json={}).status_code == 200
    assert customer.client.post(to, data=fields).status_code == 401
    assert client.get(at(made, "")).json["status"] == "issued"


@pytest.mark.parametrize("wrong", [{"reply": "sell"}, {"once": "x"}, {"once": ""}, {"seen": ""}, {"seen": "*"}])
def test_a_form_that_is_not_the_pages_own_does_nothing(
    app: Flask, client: FlaskClient, demo: dict[str, Any], wrong: dict[str, str]
) -> None:
    made = plain(client, demo)
    customer = visiting(app, made)
    assert customer.press("accept", name=NAME, **wrong).status_code == (412 if "seen" in wrong else 422)
    assert client.get(at(made, "")).json["status"] == "issued"
    assert customer.prepared("accept")[1]["name"] == NAME


def test_a_form_about_no_quote_is_404(client: FlaskClient) -> None:
    nobody = "/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e/reply"
    assert client.post(nobody, data={"reply": "accept"}).status_code == 404


@pytest.mark.parametrize("name", ["", "  ", "x" * 121, "a\0b", "two\nlines"])
def test_a_name_that_is_none_is_asked_for_again(app: Flask, client: FlaskClient, demo: dict[str, Any], name: str) -> None:
    customer = visiting(app, plain(client, demo))
    assert customer.press("accept", name=name).status_code == 422
    assert "Your name is missing" in customer.text


def test_no_words_of_a_customer_become_markup(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    made = plain(client, demo)
    attack = '"><script>alert(1)</script></textarea><img src=x onerror=alert(1)>'
    customer = visiting(app, made)
    customer.press("ask", words=attack)
    assert attack in customer.text.replace("\N{LEFT-TO-RIGHT MARK}", "")
    customer.press("decline", reason=attack, seen="")
    assert customer.prepared("decline")[1]["reason"] == attack
    assert [each for each in customer.page.iter() if each.tag == f"{XHTML}script" or each.get("onerror")] == []
    assert not [each for each in customer.page.iter(f"{XHTML}img") if not each.get("src", "").startswith("data:")]


def test_the_page_says_its_own_address_once(app: Flask, client: FlaskClient, demo: dict[str, Any]) -> None:
    customer = visiting(app, plain(client, demo))
    (address,) = re.findall(r"http://localhost/v1/quotes/[^\s<]+", customer.text)
    assert customer.go(address).status_code == 200
    assert set(customer.forms()) == {"accept", "decline", "ask"}


def _page(client: FlaskClient, at: str) -> Any:
    return client.get(f"{at}&format=html&lang=de")


def _page_packed(client: FlaskClient, at: str) -> Any:
    return client.get(f"{at}&format=html", headers={"Accept-Encoding": "gzip"})


def _pdf(client: FlaskClient, at: str) -> Any:
    return client.get(f"{at}&format=pdf")


def _summary(client: FlaskClient, at: str) -> Any:
    return client.get(f"{at}&view=summary")


@pytest.mark.parametrize("read", [_page, _page_packed, _pdf, _summary])
def test_the_tag_of_whatever_was_seen_is_good_for_acceptance_while_it_holds(
    app: Flask, client: FlaskClient, demo: dict[str, Any], read: Callable[[FlaskClient, str], Any]
) -> None:
    made = plain(client, demo)
    customer = visiting(app, made)
    query = customer.prepared("accept")[0].partition("?")[2].partition("&")[0]
    link = f"{at(made, '')}?{query}"
    before = read(customer.client, link).headers["ETag"]
    customer.press("ask", words="Does it change the tag?")
    yes = {"customer": {"name": NAME}}
    to = f"{at(made, '/acceptance')}?{query}"
    assert customer.client.post(to, json=yes, headers={"If-Match": before}).status_code == 412
    now = read(customer.client, link).headers["ETag"]
    assert customer.client.post(to, json=yes, headers={"If-Match": f"W/{now}"}).status_code == 412  # strong comparison: RFC 9110, 13.1.1
    assert customer.client.post(to, json=yes, headers={"If-Match": now}).status_code == 200


@pytest.mark.parametrize(
    ("tag", "same"),  # each form as `_state_of_quotation` and the forms of JSON write it; `-1` and `-12` are other states
    [
        ("abc-issued-1", True),
        ("abc-issued-1-gzip", True),
        ("abc-issued-1-summary-gzip", True),
        ("abc-issued-1-de-US-RI-0123abcd-html-0123456789abcdef-gzip", True),
        ("abc-issued-1-en-weekdays-pdf-0123456789abcdef", True),
        ("abc-issued-12", False),
        ("abc-issued", False),
        ("abc-issued-12-en-weekdays-pdf-0123456789abcdef", False),
        ("abc-issued-en-weekdays-pdf-0123456789abcdef", False),
        ("abc-issued-1-bench-en-weekdays-html-0123456789abcdef", False),
        ("abc-issued-1-lines-csv-0123456789abcdef", False),
        ("x-abc-issued-1", False),
        ("", False),
    ],
)
def test_a_tag_is_of_one_state_alone(tag: str, same: bool) -> None:
    state = Stored("id", "Q-1", 1, "issued", "sha256:abc", "2026-12-31", b"", b"", 1)
    assert state.etag == "abc-issued-1"
    assert is_of(tag, state) is same


@pytest.mark.parametrize(
    ("language", "title"), [("en", "This link does not open the quotation"), ("de", "Dieser Link öffnet das Angebot nicht")]
)
def test_an_ended_link_is_told_in_words_and_keeps_what_was_written(
    app: Flask, client: FlaskClient, demo: dict[str, Any], language: str, title: str
) -> None:
    made = plain(client, demo)
    customer = visiting(app, made, language)
    prepared, page = customer.prepared("ask", words="Too <late>?"), customer.at
    assert client.post(at(made, "/links/end"), json={}).status_code == 200
    assert customer.send(*prepared).status_code == 401
    assert title in customer.text
    assert "Too <late>?" in customer.text
    assert customer.reply.headers["Referrer-Policy"] == "no-referrer"
    assert customer.go(page).status_code == 401
    assert title in customer.text
    assert customer.client.get(page.replace("format=html", "format=json")).mimetype == "application/problem+json"  # programs read no pages


def test_who_sends_too_much_at_once_sends_the_same_again_later(engine: Engine, quotes: Quotes, demo: dict[str, Any]) -> None:
    app = made_app(engine, quotes, rate_limits={"link.quotes": 1})
    client = app.test_client()
    made = plain(client, demo)
    customer = visiting(app, made)
    assert customer.press("ask", words="First?").status_code == 200
    assert customer.press("ask", words="Second?").status_code == 429
    assert "Second?" in customer.text
    assert customer.forms()["ask"].get("action", "").startswith("?token=")
    assert customer.prepared("ask")[1]["words"] == "Second?"
