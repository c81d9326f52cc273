"""A quote at the desk: what both sides see, and each step that the counter takes, once and under their own name."""

from __future__ import annotations

import json
import re
import threading
import time
from contextlib import AbstractContextManager
from dataclasses import replace
from typing import Any
from urllib.parse import unquote, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.credentials.people import Role
from service.demo import demo_request
from service.storage import IdempotencyStore
from service.storage.idempotency import IdempotentRequest
from tests.desk.colleague import BROWSER, HOST, Colleague, fields_of
from tests.service.steps import accepted, settled

Json = dict[str, Any]
HOSTILE = '"><script>alert(1)</script> \u05d0\u05d1\u05d2'  # with letters that are written from right to left


def asked(*tags: str) -> Json:
    """The winter yawl's request with these of its wires: MIZZEN BACK asks four things, CAP/S lacks its setting, GATE-P is ready."""
    found: Json = json.loads(demo_request("winter-yawl-plover"))
    return {**found, "assemblies": [each for each in found["assemblies"] if each["tag"] in tags]}


def made(desk: Flask, request: Json) -> Any:
    answer = desk.test_client().post("/v1/quotes", json=request)
    assert answer.status_code == 201, answer.json
    found: Any = answer.json
    return found


def now(desk: Flask, quote: Json, part: str = "") -> Any:
    return desk.test_client().get(f"/v1/quotes/{quote['id']}{part}").json


def at(quote: Json) -> str:
    return f"/desk/quotes/{quote['id']}"


def counter_at(desk: Flask, quote: Json, language: str = "en") -> Colleague:
    found = Colleague(desk, Role.COUNTER, language)
    assert found.go(at(quote)).status_code == 200
    return found


def shown_money(amount: str) -> str:
    """As a quotation in inches writes dollars."""
    return f"${float(amount):,.2f}"


@pytest.mark.parametrize("role", list(Role))
def test_both_sides_are_shown_to_everybody_and_steps_to_the_counter(desk: Flask, role: Role) -> None:
    quote = made(desk, asked("MIZZEN BACK", "GATE-P"))
    someone = Colleague(desk, role)
    someone.go(at(quote))
    mizzen, gate = quote["assemblies"]
    assert shown_money(quote["totals"]["payable"]) in someone.text
    assert "Good until25 December 2026" in someone.text  # its name, and the day
    for each in (mizzen, gate):
        assert shown_money(each["price"]["net"]) in someone.text
    assert f"Cut {gate['cut_length']['text']}" in someone.text
    assert mizzen["cut_length"]["text"] not in someone.text  # what is asked of it is not settled
    assert "4 to settle" in someone.text
    assert bool(someone.forms("Settle this")) is (role is not Role.BENCH)
    assert bool(someone.forms("Make a link")) is (role is not Role.BENCH)


def test_asks_are_settled_one_by_one_under_the_persons_name_and_undone(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = counter_at(desk, quote)
    counter.press("Settle this", words="Asked by telephone: 19 ft 8 1/2 in was right.")
    assert "It is settled, under your name." in counter.text
    state = now(desk, quote, "/settlements")
    assert [(each["by"], each["code"]) for each in state["settlements"]] == [("Cora Counterpin", "reading-blunder")]
    assert "SettledMIZZEN BACK" in counter.text
    assert "reading-blunder" not in counter.text
    assert len(state["open"]) == 3
    assert len(counter.forms("Settle this")) == 3
    counter.press("Ask it again", reason="They were not sure.")
    state = now(desk, quote, "/settlements")
    assert len(state["open"]) == 4
    assert state["settlements"][0]["undone"]["reason"] == "They were not sure."
    assert now(desk, quote, "/events")["events"][-1]["person"] == "Cora Counterpin"


def test_a_second_press_of_the_same_button_does_nothing_more(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = counter_at(desk, quote)
    to, fields = counter.prepared("Settle this", words="As written.")
    counter.send(to, fields)
    before = now(desk, quote, "/events")
    assert counter.send(to, fields).status_code == 200
    assert "It is settled, under your name." in counter.text
    assert now(desk, quote, "/events") == before


def test_what_was_measured_again_makes_a_revision(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK", "GATE-P"))
    counter = counter_at(desk, quote)
    counter.press("Settle this", words="Measured in the loft.", readings="19 ft 8 1/2 in\n19 ft 8 17/32 in\n")
    revision = counter.at.partition("?")[0].rpartition("/")[2]
    assert revision != quote["id"]
    counter.go(f"/desk/quotes/{quote['id']}")
    assert "SettledMeasured in the loft." in counter.text
    assert "/assemblies/" not in counter.text
    again = desk.test_client().get(f"/v1/quotes/{revision}/request").json
    assert again == {
        **asked("MIZZEN BACK", "GATE-P"),
        "assemblies": [
            {**each, "measurement": {**each["measurement"], "readings": ["19 ft 8 1/2 in", "19 ft 8 17/32 in"]}}
            if each["tag"] == "MIZZEN BACK"
            else each
            for each in asked("MIZZEN BACK", "GATE-P")["assemblies"]
        ],
    }
    assert "reading-blunder" not in [each["code"] for each in now(desk, {"id": revision}, "/settlements")["open"]]
    counter.go(at(quote))
    assert f"/desk/quotes/{revision}" in " ".join(counter.links())


def test_each_figure_that_is_doubted_can_be_measured_again(desk: Flask) -> None:
    """A length that no such hull has, a pull that no hand pulls, and a sheave of an inch: what is typed in stands in the revision's request."""
    request = asked("MIZZEN BACK")
    (one,) = request["assemblies"]
    odd = {
        **one,
        "sheave_diameter": "1 in",
        "measurement": {**one["measurement"], "readings": ["119 ft 8 1/2 in", "119 ft 8 1/2 in"], "pull": "900 N"},
    }
    quote = made(desk, {**request, "assemblies": [odd]})
    found = {each["code"]: each for each in quote["assemblies"][0]["findings"]}
    for code, typed, place in (
        ("length-implausible", {"readings": "19 ft 8 1/2 in"}, ("measurement", "readings")),
        ("pull-beyond-hand", {"pull": "50 N"}, ("measurement", "pull")),
        ("sheave-too-small", {"sheave_diameter": "6 in"}, ("sheave_diameter",)),
    ):
        counter = counter_at(desk, quote)
        (form,) = [each for each, _ in counter.forms("Settle this") if fields_of(each)["code"] == code]
        assert typed.keys() <= fields_of(form).keys(), code
        counter.send(f"{at(quote)}/settle", {**fields_of(form), "words": "Measured again.", **typed})
        revision = counter.at.partition("?")[0].rpartition("/")[2]
        value = desk.test_client().get(f"/v1/quotes/{revision}/request").json["assemblies"][0]
        for step in place:
            value = value[step]
        assert value in (*typed.values(), [*typed.values()]), code
        assert found[code]["severity"] == "ask"
        quote = made(desk, {**request, "assemblies": [odd]})


def test_a_stop_ends_with_the_figure_that_it_lacks(desk: Flask) -> None:
    quote = made(desk, asked("CAP/S"))
    counter = counter_at(desk, quote)
    assert "1 on hold" in counter.text
    counter.press("Settle this", words="The turnbuckle was still as it was.", upper_exposed="1 1/2 in", lower_exposed="1 7/16 in")
    revision = counter.at.partition("?")[0].rpartition("/")[2]
    after = now(desk, {"id": revision})
    assert after["assemblies"][0]["readiness"] != "hold"
    setting = desk.test_client().get(f"/v1/quotes/{revision}/request").json["assemblies"][0]["turnbuckle"]["setting"]
    assert setting == {"upper_exposed": "1 1/2 in", "lower_exposed": "1 7/16 in"}


def test_what_cannot_be_read_is_said_and_stays_typed(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = counter_at(desk, quote)
    reply = counter.press("Settle this", words="Measured again.", readings="nineteen feet")
    assert reply.status_code == 422
    assert "Something in it cannot be used" in counter.text
    kept = fields_of(counter.forms("Settle this")[0][0])
    assert (kept["words"], kept["readings"]) == ("Measured again.", "nineteen feet")
    assert fields_of(counter.forms("Settle this")[1][0])["words"] == ""
    assert now(desk, quote)["status"] == "issued"


def test_the_counter_accepts_by_telephone_in_the_customers_words(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter = counter_at(desk, quote)
    counter.press("Accept for the customer", name="Asta Lindqvist", note="By telephone: “go ahead”.")
    assert "It is accepted for the customer." in counter.text
    after = now(desk, quote)
    assert (after["status"], after["accepted"]["by"]) == ("accepted", "Asta Lindqvist")
    event = now(desk, quote, "/events")["events"][-1]
    assert (event["by"], event["note"], event["person"]) == ("Asta Lindqvist", "By telephone: “go ahead”.", "Cora Counterpin")
    assert "Asta Lindqvist (at the desk: Cora Counterpin)" in counter.text


def test_with_something_open_the_customer_says_that_they_know_it(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = counter_at(desk, quote)
    assert counter.press("Accept for the customer", name="Asta Lindqvist", note="By telephone.").status_code == 409
    assert now(desk, quote)["status"] == "issued"
    assert fields_of(counter.forms("Accept for the customer")[0][0])["note"] == "By telephone."
    counter.press("Accept for the customer", open="as_listed", understood="I know that it is measured again.")
    assert now(desk, quote)["accepted"]["understood"] == "I know that it is measured again."


def test_a_double_click_is_answered_as_its_first(desk: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    """A browser shows what the second sending got, though the first is still being done."""
    quote = made(desk, asked("GATE-P"))
    counter = counter_at(desk, quote)
    to, fields = counter.prepared("Withdraw it", reason="Asked twice.")
    held, begun = IdempotencyStore.holding, threading.Event()

    def slowly(self: IdempotencyStore, asked: IdempotentRequest, claim: str) -> AbstractContextManager[None]:
        begun.set()
        time.sleep(0.3)
        return held(self, asked, claim)

    monkeypatch.setattr(IdempotencyStore, "holding", slowly)
    found: list[TestResponse] = []

    def send() -> None:
        client = FlaskClient(desk, desk.response_class)
        client.set_cookie("desk", counter.cookie, path="/desk")
        found.append(client.post(to, data=fields, headers={**BROWSER, "Origin": HOST}))

    first = threading.Thread(target=send)
    first.start()
    assert begun.wait(10)
    send()
    first.join()
    assert [(each.status_code, each.headers.get("Location")) for each in found] == 2 * [(303, f"{at(quote)}?done=withdrawn")]


def test_two_who_decide_at_once_the_second_sees_what_the_first_did(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter, owner = counter_at(desk, quote), Colleague(desk, Role.OWNER)
    owner.go(at(quote))
    to, fields = owner.prepared("Accept for the customer", name="Asta Lindqvist", note="By telephone.")
    counter.press("Withdraw it", reason="The boat was sold.")
    assert now(desk, quote)["status"] == "withdrawn"
    assert owner.send(to, fields).status_code in (409, 412)
    assert now(desk, quote)["status"] == "withdrawn"
    assert "Withdrawn" in owner.text
    assert not owner.forms("Accept for the customer")


@pytest.mark.parametrize(
    ("button", "typed", "status"),
    [("Record that they decline", {"name": "Asta Lindqvist", "reason": "Not this season."}, "declined"), ("Withdraw it", {"reason": "Twice."}, "withdrawn")],
)  # fmt: skip
def test_an_open_quote_is_declined_or_withdrawn(desk: Flask, button: str, typed: Json, status: str) -> None:
    quote = made(desk, asked("GATE-P"))
    counter_at(desk, quote).press(button, **typed)
    assert now(desk, quote)["status"] == status
    assert now(desk, quote, "/events")["events"][-1]["note"] == typed["reason"]


def test_what_was_accepted_is_cancelled_with_a_reason(desk: Flask) -> None:
    quote = accepted(desk.test_client(), made(desk, asked("GATE-P")))
    counter = counter_at(desk, quote)
    assert not counter.forms("Accept for the customer")
    assert counter.press("Cancel it", reason=" ").status_code == 422
    assert now(desk, quote)["status"] == "accepted"
    counter.press("Cancel it", reason="The boat was sold.")
    assert now(desk, quote)["status"] == "cancelled"


def test_what_is_built_is_handed_over(desk: Flask) -> None:
    client = desk.test_client()
    quote = accepted(client, made(desk, asked("GATE-P")))
    plan = client.post("/v1/cutting-plans", json={"quotes": [quote["id"]]}).json
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={}).status_code == 200
    length = quote["assemblies"][0]["target_length"]
    built = client.post(
        f"/v1/quotes/{quote['id']}/as-built", json={"assemblies": [{"tag": "GATE-P", "finished_length": f"{length['mm']} mm"}]}
    )
    assert built.json["verdict"] == "pass"
    counter_at(desk, quote).press("It is handed over", name="the skipper", note="With the old wire.")
    assert now(desk, quote)["status"] == "handed_over"
    assert now(desk, quote, "/events")["events"][-1]["note"] == "To the skipper. With the old wire."


def test_a_customers_question_is_answered_for_their_page(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    desk.test_client().post(f"/v1/quotes/{quote['id']}/questions", json={"words": f"Before April? {HOSTILE}"})
    counter = counter_at(desk, quote)
    assert HOSTILE in counter.text
    assert "<script>alert" not in counter.reply.text
    counter.press("Send the answer", words="Yes.")
    (question,) = now(desk, quote, "/questions")["questions"]
    assert (question["answer"], question["by"]) == ("Yes.", "Cora Counterpin")


@pytest.mark.parametrize(("language", "subject"), [("en", "Quotation"), ("de", "Angebot")])
def test_a_link_is_made_with_its_mail_in_the_customers_language_and_ended(desk: Flask, language: str, subject: str) -> None:
    request = asked("GATE-P")
    request["customer"]["email"] = "asta@rig.example"
    quote = made(desk, {**request, "language": language})
    counter = counter_at(desk, quote)
    counter.press("Make a link")
    link = next(each for each in re.findall(r"http\S+/v1/quotes/\S+", counter.text) if "token=" in each)
    mail = next(each for each in counter.links() if each.startswith("mailto:"))
    assert mail.startswith("mailto:asta%40rig.example?")
    assert f"subject={subject} {quote['number']}: Plover" in unquote(mail)
    assert link in unquote(mail)
    there = urlsplit(link)
    visitor = desk.test_client()
    del visitor.environ_base["HTTP_AUTHORIZATION"]
    assert visitor.get(f"{there.path}?{there.query}").status_code == 200
    counter.press("End every link made so far")
    assert visitor.get(f"{there.path}?{there.query}").status_code != 200


def test_a_customers_link_is_shown_without_a_host_that_only_the_request_names(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P"))
    counter = counter_at(desk, quote)
    desk.extensions["settings"] = replace(desk.extensions["settings"], host="0.0.0.0")  # noqa: S104
    counter.press("Make a link")
    (link,) = re.findall(r"<code>(\S+)</code>", counter.reply.text)
    assert link.startswith(f"/v1/quotes/{quote['id']}?token=")
    assert "what your browser shows" in counter.text
    assert not [each for each in counter.links() if each.startswith("mailto:")]


def test_papers_come_in_the_quotes_language(desk: Flask) -> None:
    quote = made(desk, {**asked("GATE-P"), "language": "de"})
    counter = counter_at(desk, quote)
    page = counter.client.get(f"{at(quote)}/quotation.html")
    assert (page.status_code, page.headers["Content-Language"]) == (200, "de")
    assert page.text == desk.test_client().get(f"/v1/quotes/{quote['id']}?format=html&lang=de").text
    assert counter.client.get(f"{at(quote)}/rig-sheet.pdf").data.startswith(b"%PDF-")
    assert counter.client.get(f"{at(quote)}/ledger.pdf").status_code == 404


def test_hostile_names_are_words_and_nothing_else(desk: Flask) -> None:
    request = asked("MIZZEN BACK")
    request["customer"], request["boat"]["name"], request["note"] = {"name": HOSTILE, "reference": HOSTILE[:80]}, HOSTILE, HOSTILE
    request["assemblies"][0]["tag"] = HOSTILE[:40]
    quote = made(desk, request)
    counter = counter_at(desk, quote)
    assert HOSTILE in counter.text
    assert "<script>alert" not in counter.reply.text
    counter.press("Settle this", words=HOSTILE)
    assert now(desk, quote, "/settlements")["settlements"][0]["words"] == HOSTILE


def test_the_bench_takes_no_step(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    to, fields = counter_at(desk, quote).prepared("Settle this", words="Cut it.")
    bench = Colleague(desk, Role.BENCH)
    bench.go(at(quote))
    token = bench.prepared("Deutsch")[1]["form"]
    for path in (to, f"{at(quote)}/accept", f"{at(quote)}/lines", f"{at(quote)}/link"):
        assert bench.send(path, {**fields, "form": token}).status_code == 403
    assert now(desk, quote, "/settlements")["settlements"] == []


def test_a_quote_is_read_in_german(desk: Flask) -> None:
    quote = settled(desk.test_client(), made(desk, asked("MIZZEN BACK", "CAP/S")))
    counter = counter_at(desk, quote, "de")
    assert "Was die Kundschaft sieht" in counter.text
    assert "Zurückgestellt" in counter.text
    assert "Achterstag" in counter.text


def test_there_is_no_quote_with_an_id_of_nobodys(desk: Flask) -> None:
    counter = Colleague(desk, Role.COUNTER)
    assert counter.go("/desk/quotes/00000000-0000-7000-8000-000000000000").status_code == 404
    assert "There is nothing here" in counter.text
