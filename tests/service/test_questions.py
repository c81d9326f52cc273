"""Questions about a quote by its customer's link, and the shop's answers."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import select

from service.credentials.keys import Scope
from service.engine.engine import Engine
from service.lifecycle.events import CHOOSABLE
from service.storage import Endpoints, Quotes
from service.storage.tables import webhook_messages
from tests.service.conftest import DAY, made_app
from tests.service.holders import bearing, kept_key
from tests.service.test_access import bare

ASKED, ANSWERED = "Is the forestay ready before Easter?", "By the first of March."
BY = {"words": ANSWERED, "by": "Jo Marsh"}


@pytest.fixture
def made(client: FlaskClient, demo: dict[str, Any]) -> Any:
    return client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json


def at(quote: Any, what: str = "/questions") -> str:
    return f"/v1/quotes/{quote['id']}{what}"


def token_of(client: FlaskClient, quote: Any, **order: Any) -> str:
    href: str = client.post(at(quote, "/links"), json=order).json["href"]
    return href.partition("?")[2]


def test_a_customer_asks_by_the_link_and_reads_the_answer(app: Flask, client: FlaskClient, made: Any) -> None:
    alone, token = bare(app), token_of(client, made)
    before = client.get(at(made, "")).headers["ETag"]
    asked = alone.post(f"{at(made)}?{token}", json={"words": ASKED})
    assert (asked.status_code, asked.json["questions_left"]) == (201, 4)
    (question,) = asked.json["questions"]
    assert (question["words"], question["answer"], question["by"]) == (ASKED, None, None)
    between = client.get(at(made, "")).headers["ETag"]
    assert client.post(at(made, f"/questions/{question['id']}/answer"), json=BY, headers={"If-Match": before}).status_code == 412
    done = client.post(at(made, f"/questions/{question['id']}/answer"), json=BY, headers={"If-Match": between})
    assert done.status_code == 200
    (read,) = alone.get(f"{at(made)}?{token}").json["questions"]
    assert (read["answer"], read["by"], read["key"]) == (ANSWERED, "Jo Marsh", "demo")
    now = client.get(at(made, ""))
    assert now.json["questions"] == [read]
    assert len({before, between, now.headers["ETag"]}) == 3
    assert now.json["checksum"] == made["checksum"]
    said = [(each["type"], each["by"], each["note"], each["key"]) for each in client.get(at(made, "/events")).json["events"][1:]]
    assert said == [("quote.question_asked", None, None, None), ("quote.question_answered", "Jo Marsh", None, "demo")]


def test_only_a_key_that_writes_answers_and_once(app: Flask, quotes: Quotes, client: FlaskClient, made: Any) -> None:
    question = client.post(at(made), json={"words": ASKED}).json["questions"][0]["id"]
    answer, alone = at(made, f"/questions/{question}/answer"), bare(app)
    reader, writer = (bearing(kept_key(quotes, scopes=[each])) for each in (Scope.READ, Scope.WRITE))
    assert alone.post(f"{answer}?{token_of(client, made)}", json=BY).status_code == 403
    assert alone.post(answer, json=BY, headers=reader).status_code == 403
    assert alone.post(answer, json={"words": ANSWERED}, headers=writer).status_code == 422  # nobody said by whom
    assert alone.post(answer, json=BY, headers=writer).status_code == 200
    again = alone.post(answer, json={**BY, "words": "Or not."}, headers=writer)
    assert (again.status_code, again.json["errors"][0]["code"]) == (409, "already_answered")
    assert client.post(at(made, f"/questions/{made['id']}/answer"), json=BY).status_code == 404
    assert client.get(at(made)).json["questions"][0]["answer"] == ANSWERED


def test_a_sixth_question_is_refused_and_says_where_to_turn(app: Flask, client: FlaskClient, made: Any) -> None:
    alone, token = bare(app), token_of(client, made)
    for left in (4, 3, 2, 1, 0):
        assert alone.post(f"{at(made)}?{token}", json={"words": f"{ASKED} {left}"}).json["questions_left"] == left
    sixth = alone.post(f"{at(made)}?{token}", json={"words": ASKED})
    assert (sixth.status_code, sixth.json["errors"][0]["code"]) == (409, "enough_questions")
    assert "telephone" in sixth.json["detail"]
    assert len(client.get(at(made)).json["questions"]) == 5


def test_six_at_once_are_five(store: Quotes, engine: Engine, demo: dict[str, Any]) -> None:
    client = made_app(engine, store).test_client()
    made = client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json
    with ThreadPoolExecutor(6) as pool:
        done = sorted(each.status_code for each in pool.map(lambda each: client.post(at(made), json={"words": f"{each}?"}), range(6)))
    assert done == [201, 201, 201, 201, 201, 409]
    assert len(client.get(at(made)).json["questions"]) == 5


def test_a_question_may_name_the_state_it_is_about(client: FlaskClient, made: Any) -> None:
    seen = {"If-Match": client.get(at(made, "")).headers["ETag"]}
    assert client.post(at(made), json={"words": ASKED}, headers=seen).status_code == 201
    assert client.post(at(made), json={"words": ASKED}, headers=seen).status_code == 412
    assert client.post("/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e/questions", json={"words": ASKED}).status_code == 404
    assert len(client.get(at(made)).json["questions"]) == 1


@pytest.mark.parametrize("words", ["", " ", "x" * 2001, "a\0b", 7])
def test_what_is_no_question_is_refused(client: FlaskClient, made: Any, words: Any) -> None:
    assert client.post(at(made), json={"words": words}).status_code == 422
    assert client.get(at(made)).json["questions"] == []


def test_a_question_of_many_lines_and_letters_stays_as_it_was_written(client: FlaskClient, made: Any) -> None:
    words = ("Erste Zeile: Länge?\n\n" + "ß" * 2000)[:2000]
    assert client.post(at(made), json={"words": words}).json["questions"][0]["words"] == words


def test_nothing_is_asked_about_what_has_ended_but_an_answer_may_still_come(client: FlaskClient, made: Any) -> None:
    question = client.post(at(made), json={"words": ASKED}).json["questions"][0]["id"]
    assert client.post(at(made, "/withdrawal"), json={}).status_code == 200
    late = client.post(at(made), json={"words": ASKED})
    assert (late.status_code, late.json["errors"][0]["code"]) == (409, "withdrawn")
    assert client.post(at(made, f"/questions/{question}/answer"), json=BY).status_code == 200


def test_what_was_asked_outlasts_an_acceptance_and_a_settlement(client: FlaskClient, made: Any) -> None:
    from tests.service.steps import accepted

    client.post(at(made), json={"words": ASKED})
    assert [each["words"] for each in accepted(client, made)["questions"]] == [ASKED]


def test_webhooks_tell_that_something_was_asked_and_not_what(store: Quotes, engine: Engine, demo: dict[str, Any]) -> None:
    Endpoints(store).add("https://shop.example/hook", CHOOSABLE, b"s", DAY)
    client = made_app(engine, store).test_client()
    made = client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).json
    question = client.post(at(made), json={"words": ASKED}).json["questions"][0]["id"]
    assert client.post(at(made, f"/questions/{question}/answer"), json=BY).status_code == 200
    with store.reading() as connection:
        sent = [bytes(each) for each in connection.execute(select(webhook_messages.c.body).order_by(webhook_messages.c.id)).scalars()]
    told = [json.loads(each) for each in sent]
    assert [each["type"] for each in told] == ["quote.issued", "quote.question_asked", "quote.question_answered"]
    assert set(told[1]["data"]) == set(told[0]["data"])
    assert not [each for each in sent for words in (ASKED, ANSWERED, "Jo Marsh") if words.encode() in each]
