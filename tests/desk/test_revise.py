"""Revising at the desk by the questions of the customer's form: prefilled, seen before it is issued, and nothing else changed."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.demo import demo_request
from tests.desk.colleague import Colleague, fields_of
from tests.desk.test_quote import HOSTILE, asked, at, made, now
from tests.service.steps import accepted

Json = dict[str, Any]
LINE = {"text": "Mast off and on", "quantity": "2", "unit": "hour", "unit_price": "78.00", "tax_category": "Z"}
READINGS = "measurement.readings"


def of_the_sloop(*tags: str) -> Json:
    found: Json = json.loads(demo_request("fleet-sloop-wagtail"))
    return {**found, "assemblies": [each for each in found["assemblies"] if each["tag"] in tags]}


def at_revising(desk: Flask, quote: Json, language: str = "en") -> Colleague:
    counter = Colleague(desk, Role.COUNTER, language)
    assert counter.go(f"{at(quote)}/revise").status_code == 200
    return counter


def revision_of(desk: Flask, counter: Colleague) -> Json:
    """The request of the revision whose page the counter came to."""
    found: Json = now(desk, {"id": counter.at.partition("?")[0].rpartition("/")[2]}, "/request")
    return found


def with_readings(request: Json, *readings: str) -> Json:
    first, *others = request["assemblies"]
    return {**request, "assemblies": [{**first, "measurement": {**first["measurement"], "readings": list(readings)}}, *others]}


def test_a_reading_is_changed_seen_and_issued_once(desk: Flask) -> None:
    quote = made(desk, asked("GATE-P", "MIZZEN BACK"))
    counter = at_revising(desk, quote)
    counter.press("Change: The length (GATE-P)")
    assert fields_of(counter.forms("Continue")[0][0])[READINGS] == ["2 ft 6 3/8 in", "2 ft 6 13/32 in", ""]
    counter.press("To the review", **{READINGS: ["103 ft 0 7/32 in", "103 ft 0 1/4 in", ""]})
    counter.press("See what will change")
    assert "GATE-P, readings: 103 ft 0 7/32 in" in counter.text
    assert now(desk, quote)["status"] == "issued"  # seen, and not issued
    to, fields = counter.prepared("Issue the revision")
    counter.send(to, fields)
    assert "This is the revision." in counter.text
    before, request = asked("GATE-P", "MIZZEN BACK"), revision_of(desk, counter)
    wires = {each["tag"]: each for each in request["assemblies"]}
    assert wires.pop("GATE-P")["measurement"] == {
        **before["assemblies"][1]["measurement"],
        "readings": ["103 ft 0 7/32 in", "103 ft 0 1/4 in"],
    }
    assert wires == {"MIZZEN BACK": before["assemblies"][0]}
    issued = counter.at
    assert now(desk, quote, "/events")["events"][-1]["person"] == "Cora Counterpin"
    counter.send(to, fields)  # pressed twice
    assert counter.at == issued


def test_pages_that_are_only_looked_at_change_nothing(desk: Flask) -> None:
    request = of_the_sloop("CAP-P", "FORESTAY")
    request["assemblies"][0]["measurement"]["readings"] = [
        "29 ft 10 3/16 in",
        "29 ft 10 1/4 in",
        "9098 mm",
        {"value": "9.0985", "unit": "m"},
    ]
    quote = made(desk, {**request, "extra_lines": [LINE], "note": "one\ntwo"})
    counter = at_revising(desk, quote)
    for tag in ("CAP-P", "FORESTAY"):
        counter.press(f"Change: Before you take it off ({tag})")
        while counter.forms("Continue"):
            step = fields_of(counter.forms("Continue")[0][0])["step"]
            counter.press("Continue")
            assert "Please look again" not in counter.text, counter.text
            assert not counter.forms("Continue") or fields_of(counter.forms("Continue")[0][0])["step"] != step
    counter.press("See what will change")
    counter.press("Issue the revision")
    assert revision_of(desk, counter) == {**request, "extra_lines": [LINE], "note": "one\ntwo"}


def test_a_wire_is_removed_and_one_added(desk: Flask) -> None:
    request = asked("GATE-P", "GATE-S")
    counter = at_revising(desk, made(desk, request))
    counter.press("Remove GATE-P")
    counter.press("Copy GATE-S to port")
    counter.press("Continue", alike="same")
    counter.press("Continue", **{READINGS: ["2 ft 6 in", "2 ft 6 in", ""]})
    counter.press("See what will change")
    counter.press("Issue the revision")
    kept, new = revision_of(desk, counter)["assemblies"]
    assert kept == request["assemblies"][1]
    assert (new["tag"], new["upper"], new["measurement"]["readings"]) == ("GATE-P", kept["upper"], ["2 ft 6 in", "2 ft 6 in"])


@pytest.mark.parametrize(
    ("language", "words", "see", "issue"),
    [
        ("en", "Leave out stop 1, measured from: upper end; distance: 6 3/8 in", "See what will change", "Issue the revision"),
        (
            "de",
            "Weglassen: Stopper 1, gemessen von: oberes Ende; Abstand: 6 3/8 Zoll",
            "Zeigen, was sich ändert",
            "Die neue Fassung ausgeben",
        ),
    ],
)
def test_what_the_form_does_not_ask_is_named_kept_or_left_out(desk: Flask, language: str, words: str, see: str, issue: str) -> None:
    request = {**of_the_sloop("HALYARD"), "extra_lines": [LINE]}
    counter = at_revising(desk, made(desk, request), language)
    assert words in counter.text
    assert "Mast off and on" in counter.text
    assert not re.search(r"extra_lines|tape_class|unit_price", counter.text)
    counter.press(see, left=["0:/stops/0", "0:/stops/1"])
    counter.press(issue)
    without = {name: each for name, each in request["assemblies"][0].items() if name != "stops"}
    assert revision_of(desk, counter) == {**request, "assemblies": [without]}


def test_what_cannot_be_read_is_said_at_its_question_and_stays_typed(desk: Flask) -> None:
    counter = at_revising(desk, made(desk, asked("GATE-P")))
    counter.press("Change: The length (GATE-P)")
    wrong = ["103 ft", "nineteen feet", "3/8"]
    counter.press("Continue", **{READINGS: wrong})
    assert "Please look again" in counter.text
    assert 'aria-invalid="true"' in counter.reply.text
    assert fields_of(counter.forms("Continue")[0][0])[READINGS] == wrong
    counter.press("To the review")
    counter.press("See what will change")
    assert not counter.forms("Issue the revision")
    assert counter.forms("Change it (GATE-P: The length)")
    counter.press("Change: The length (GATE-P)")
    counter.press("Deutsch")  # another language loses nothing either
    assert fields_of(counter.forms("Weiter")[0][0])[READINGS] == wrong
    counter.go("/desk")
    assert counter.forms("English")  # the session's language from now on


def test_a_required_answer_may_lack_only_where_the_request_never_had_it(desk: Flask) -> None:
    request = asked("GATE-P")
    request["customer"].pop("email", None)
    counter = at_revising(desk, made(desk, request))
    counter.press("See what will change", **{"customer.name": ""})
    assert "Write your name" in counter.text
    assert "Write your e-mail address" not in counter.text
    counter.press("See what will change", **{"customer.name": "Asta Lindqvist"})
    counter.press("Issue the revision")
    assert revision_of(desk, counter) == {**request, "customer": {**request["customer"], "name": "Asta Lindqvist"}}


def test_of_a_quote_that_changed_meanwhile_the_page_tells_and_keeps_what_was_typed(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = at_revising(desk, quote)
    counter.press("See what will change", **{"request.note": "Before April."})
    other = Colleague(desk, Role.OWNER)
    other.go(at(quote))
    other.press("Settle this", words="As written.")
    assert counter.press("Issue the revision").status_code == 412
    assert "Someone else was quicker" in counter.text
    third = at_revising(desk, quote)
    third.press("See what will change")
    assert counter.press("Issue the revision").status_code == 200
    assert revision_of(desk, counter)["note"] == "Before April."
    assert third.press("Issue the revision").status_code in (409, 412)
    assert "cannot be revised any more" in third.text
    assert not third.forms("Issue the revision")
    assert f"{at(quote)}" in " ".join(third.links())
    assert third.go(f"{at(quote)}/revise").status_code == 409
    assert "cannot be revised any more" in third.text


def test_what_was_settled_and_would_not_hold_is_told_and_an_acceptance_too(desk: Flask) -> None:
    quote = made(desk, asked("MIZZEN BACK"))
    counter = Colleague(desk, Role.COUNTER)
    counter.go(at(quote))
    counter.press("Settle this", words="The first reading was right.")
    counter.press("Accept for the customer", name="Asta Lindqvist", note="Yes.", open="as_listed", understood="I know.")
    assert now(desk, quote)["status"] == "accepted"
    counter.go(f"{at(quote)}/revise")
    counter.press("Change: The length (MIZZEN BACK)")
    counter.press("To the review", **{READINGS: ["19 ft 8 1/2 in", "19 ft 8 17/32 in", ""]})
    counter.press("See what will change")
    assert "must accept the revision again" in counter.text
    assert "The first reading was right." in counter.text
    counter.press("Issue the revision")
    assert now(desk, quote)["status"] == "superseded"


def test_when_the_session_ended_amid_it_nothing_is_lost(desk: Flask) -> None:
    counter = at_revising(desk, made(desk, asked("GATE-P")))
    counter.press("Change: The length (GATE-P)")
    counter.staff.sign_out(counter.staff.session(counter.cookie).id)
    assert counter.press("To the review", **{READINGS: ["9,575 m", "9,576 m", ""]}).status_code == 401
    to, fields = counter.prepared("Send it again")
    assert '{"w"' not in counter.text
    counter.sign_in()
    assert counter.send(to, fields).status_code == 409  # the form of the session before
    counter.press("Send it again")
    assert "9,575 m; 9,576 m" in counter.text


def test_hostile_words_are_words_and_the_page_has_neither_script_nor_style(desk: Flask) -> None:
    request = of_the_sloop("HALYARD")
    request["customer"], request["boat"]["name"], request["note"] = {"name": HOSTILE, "external_id": HOSTILE[:80]}, HOSTILE, HOSTILE
    request["assemblies"][0]["tag"] = HOSTILE[:40]
    counter = at_revising(desk, made(desk, request))
    pages = [counter.reply.text]
    counter.press("See what will change", **{"request.note": HOSTILE + "!"})
    pages.append(counter.reply.text)
    counter.press("Back to the answers")
    pages.append(counter.press(next(each for each in buttons(counter) if each.startswith("Change: The length"))).text)
    for page in pages:
        assert "<script>alert" not in page
        assert not re.search(r"<style|<script| style=| on[a-z]+=", page)
    assert counter.reply.headers["Content-Security-Policy"] == counter.go("/desk").headers["Content-Security-Policy"]


def buttons(counter: Colleague) -> list[str]:
    return [" ".join("".join(each.itertext()).split()) for each in counter.page.iter("{http://www.w3.org/1999/xhtml}button")]


@pytest.mark.parametrize(
    "sent", [{}, {"draft": "{", "go": "confirm"}, {"draft": '{"w":{},"a":[],"once":"x"}', "go": "send", "step": "review"}]
)
def test_a_form_that_nobody_filled_in_revises_nothing(desk: Flask, sent: Json) -> None:
    quote = accepted(desk.test_client(), made(desk, asked("GATE-P")))
    counter = at_revising(desk, quote)
    to, fields = counter.prepared("See what will change")
    assert counter.send(to, {"form": fields["form"], **sent}).status_code == 200
    assert now(desk, quote)["status"] == "accepted"


def test_what_is_doubted_is_said_in_the_persons_language_and_the_quote_keeps_its_own(desk: Flask) -> None:
    request = {**asked("MIZZEN BACK"), "language": "en"}
    counter = at_revising(desk, made(desk, request), "de")
    assert "Die beiden Ablesungen" in counter.text
    counter.press("Zeigen, was sich ändert")
    assert "Nichts hat sich geändert." in counter.text
    counter.press("Die neue Fassung ausgeben")
    assert revision_of(desk, counter) == request
