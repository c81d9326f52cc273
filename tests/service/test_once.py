"""`Idempotency-Key`: a request that is sent again is carried out once, on both databases, whatever dies in between.

`python -m tests.service.test_once POSTS URL` sends equal posts to a real server by hand and prints what came of them.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text

from service.engine import Engine
from service.guard.keys import Scope
from service.once import key_in
from service.problems import Problem
from service.storage import Answers, Quotes
from service.storage.answers import KEPT_SECONDS, LEASE_SECONDS, Answer, Asked, OtherRequest, Overtaken, StillRunning
from service.storage.reading import kept_quotes
from tests.service.conftest import made_app
from tests.service.holders import bearing, kept_key
from tests.service.test_kills import SMALL, emptied, kill_a_worker
from tests.service.test_server import BODY, JSON, call, free_port, started, stopped, wait_for
from tests.service.test_storage import DOCUMENT

ONCE = {"Idempotency-Key": '"8e03978e-40d5-43dd-bc93-6894a57f9324"'}
WHO = {"customer": {"name": "Asta Lindqvist"}}
ASKED = Asked("owner", "key", "f" * 64)
SAID = ("Location", "ETag", "Content-Type")


@pytest.fixture
def asking(engine: Engine, store: Quotes) -> FlaskClient:
    return made_app(engine, store).test_client()


def count(store: Quotes) -> int:
    return len(list(kept_quotes(store)))


def test_a_quote_asked_for_twice_is_made_once_and_answered_alike(asking: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    first, again = (asking.post("/v1/quotes", json=demo, headers=ONCE) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.data == first.data
    assert [again.headers[name] for name in SAID] == [first.headers[name] for name in SAID]
    assert again.headers["X-Request-Id"] != first.headers["X-Request-Id"]
    bare = asking.post("/v1/quotes", json=demo, headers={"Idempotency-Key": ONCE["Idempotency-Key"].strip('"')})
    assert bare.data == first.data
    assert count(store) == 1


def test_every_post_that_creates_is_carried_out_once(asking: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    made, other = (asking.post("/v1/quotes", json=demo) for _ in range(2))
    at = made.headers["Location"]
    built = {"assemblies": [{"tag": demo["assemblies"][0]["tag"], "finished_length": "9 m"}]}
    steps: tuple[tuple[str, Any, dict[str, str]], ...] = (
        ("/v1/cutting-plans", {"quotes": [made.json["id"]]}, {}),
        ("/v1/cutting-plans?format=csv", {"quotes": [made.json["id"]]}, {}),
        (f"{at}/acceptance", WHO, {"If-Match": made.headers["ETag"]}),
        (f"{at}/as-built", built, {}),
        (f"{other.headers['Location']}/decline", {}, {}),
        (f"{other.headers['Location']}/revisions", demo, {}),
    )
    for number, (path, body, headers) in enumerate(steps):
        first, again = (asking.post(path, json=body, headers={**headers, "Idempotency-Key": f"step-{number}"}) for _ in range(2))
        assert (again.status_code, again.data) == (first.status_code, first.data)
        assert first.status_code in (200, 201)
        assert [again.headers.get(name) for name in SAID] == [first.headers.get(name) for name in SAID]
    assert count(store) == 3
    assert [each["what"] for each in asking.get(f"{at}/events").json["events"]] == ["issued", "accepted", "built"]
    with store.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM cutting_plans WHERE quote_id IS NULL")).scalar_one() == 2


def test_a_key_used_for_another_request_is_422_and_makes_nothing(asking: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    made = asking.post("/v1/quotes", json=demo, headers=ONCE)
    for path, body in (("/v1/quotes", {**demo, "note": "x"}), ("/v1/cutting-plans", demo), ("/v1/cutting-plans?format=csv", demo)):
        answer = asking.post(path, json=body, headers=ONCE)
        assert (answer.status_code, answer.json["errors"][0]["code"]) == (422, "key_of_another_request")
    assert made.status_code == 201
    assert count(store) == 1


def test_a_refusal_is_not_kept(asking: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    assert asking.post("/v1/quotes", json={}, headers=ONCE).status_code == 422
    assert asking.post("/v1/quotes", data=b"{", headers={**ONCE, **JSON}).status_code == 400
    assert asking.post("/v1/quotes", json=demo, headers=ONCE).status_code == 201
    assert count(store) == 1


@pytest.mark.parametrize(("failure", "status"), [(Overtaken, 409), (KeyError, 500)])
def test_a_quote_whose_answer_cannot_be_kept_is_not_kept_either(
    asking: FlaskClient, store: Quotes, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch, failure: type[Exception], status: int
) -> None:
    with monkeypatch.context() as patched:
        patched.setattr(Answers, "keep", lambda *_: exec("raise failure", {"failure": failure}))  # noqa: S102
        assert asking.post("/v1/quotes", json=demo, headers={"Idempotency-Key": failure.__name__}).status_code == status
    assert count(store) == 0
    if status == 500:
        assert asking.post("/v1/quotes", json=demo, headers={"Idempotency-Key": failure.__name__}).json["number"] == "Q-2026-000001"


def test_each_api_key_has_its_own_keys(asking: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    others = [bearing(kept_key(store, scopes=[Scope.WRITE])) for _ in range(2)]
    bodies = {asking.post("/v1/quotes", json=demo, headers={**ONCE, **each}).data for each in (*others, *others, {})}
    assert len(bodies) == count(store) == 3


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ('"a b"', "a b"), (r'"a\"b\\c"', 'a"b\\c'), ("abc-123_~.:/=+", "abc-123_~.:/=+"), ('""', None), ("", None), (" ", None), ("a b", None),
        ('"a', None), ('"a";x=1', None), ('"a", "b"', None), ("a,b", None), ("é", None), ('"\t"', None), (r'"a\b"', None),
        ("x" * 255, "x" * 255), ("x" * 256, None), (f'"{"x" * 256}"', None),
    ],
)  # fmt: skip
def test_a_key_is_quoted_or_bare(written: str, key: str | None) -> None:
    if key is not None:
        assert key_in(written) == key
        return
    with pytest.raises(Problem) as refused:
        key_in(written)
    assert (refused.value.status, refused.value.faults[0]["code"]) == (400, "bad_key")


def test_two_hundred_equal_posts_at_once_make_one_quote(engine: Engine, store: Quotes, demo: dict[str, Any]) -> None:
    app = made_app(engine, store)
    demo["assemblies"] = demo["assemblies"][:1]
    with ThreadPoolExecutor(50) as pool:
        answers = list(pool.map(lambda _: app.test_client().post("/v1/quotes", json=demo, headers=ONCE), range(200)))
    assert {each.status_code for each in answers} <= {201, 409}
    assert len({each.data for each in answers if each.status_code == 201}) == 1
    assert all(each.headers["Retry-After"] == "1" for each in answers if each.status_code == 409)
    assert count(store) == 1


def test_while_the_first_is_running_the_second_waits_for_it(store: Quotes) -> None:
    answers = Answers(store)
    claim = answers.claim(ASKED)
    with pytest.raises(StillRunning):
        answers.claim(ASKED)
    with pytest.raises(OtherRequest):
        answers.claim(ASKED._replace(fingerprint="0" * 64))
    assert isinstance(answers.claim(ASKED._replace(owner="another")), str)
    answers.keep(ASKED, str(claim), Answer(201, [("ETag", '"x"')], b"said"))
    assert answers.claim(ASKED) == Answer(201, [("ETag", '"x"')], b"said")


def test_an_answer_is_said_again_for_a_day_and_then_forgotten(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = Answers(store, lambda: now[0])
    answers.keep(ASKED, str(answers.claim(ASKED)), Answer(201, [], b""))
    now[0] += KEPT_SECONDS - 1
    assert isinstance(answers.claim(ASKED), Answer)
    now[0] += 601  # old answers are looked for every ten minutes
    answers.claim(ASKED._replace(key="another"))
    with store.reading() as connection:
        assert connection.execute(text("SELECT key FROM answers")).scalars().all() == ["another"]
    assert isinstance(answers.claim(ASKED), str)


def issue_and_keep(store: Quotes, answers: Answers, claim: str) -> None:
    with store.together():
        store.issue(DOCUMENT, b"{}")
        answers.keep(ASKED, claim, Answer(201, [], b""))


def test_who_lost_its_claim_keeps_nothing(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = Answers(store, lambda: now[0])
    slow = str(answers.claim(ASKED))
    now[0] += LEASE_SECONDS + 1
    quick = str(answers.claim(ASKED))
    issue_and_keep(store, answers, quick)
    with pytest.raises(Overtaken):
        issue_and_keep(store, answers, slow)
    assert [each.number for each in kept_quotes(store)] == ["Q-2026-000001"]
    answers.release(ASKED, slow)
    assert isinstance(answers.claim(ASKED), Answer)


def _die_at(url: str, last: str) -> None:
    """A process that ends without a word after it claimed, after it stored, or after it committed."""
    store = Quotes(url, 2)
    answers = Answers(store)
    claim = str(answers.claim(ASKED))
    with suppress(BaseException), store.together():
        if last == "claimed":
            os._exit(9)
        store.issue(DOCUMENT, b"{}")
        answers.keep(ASKED, claim, Answer(201, [], b"said"))
        if last == "stored":
            os._exit(9)
    os._exit(9)


@pytest.mark.parametrize("last", ["claimed", "stored", "committed"])
def test_a_process_that_dies_leaves_one_quote_or_none_and_its_retry_makes_it_one(store: Quotes, last: str) -> None:
    process = multiprocessing.get_context("spawn").Process(target=_die_at, args=(store.url, last))
    process.start()
    process.join(60)
    assert process.exitcode == 9
    assert count(store) == (1 if last == "committed" else 0)
    if last != "committed":
        with pytest.raises(StillRunning):
            Answers(store).claim(ASKED)
    later = Answers(store, lambda: time.time() + LEASE_SECONDS + 1)
    claim = later.claim(ASKED)
    if isinstance(claim, str):
        issue_and_keep(store, later, claim)
    assert [each.number for each in kept_quotes(store)] == ["Q-2026-000001"]


def storm(port: int, posts: int) -> dict[str, Any]:
    """Equal posts with one key, all at once; how they were answered."""
    with ThreadPoolExecutor(posts) as pool:
        answers = list(pool.map(lambda _: call(port, "POST", "/v1/quotes", BODY, {**JSON, **ONCE}), range(posts)))
    bodies = {body for status, _, body in answers if status == 201}
    return {
        "answers": dict(Counter(status for status, _, _ in answers)),
        "different": len(bodies),
        "id": {json.loads(each)["id"] for each in bodies},
    }


def stubborn(port: int, client: int, quotes: int) -> Counter[str]:
    """Ask for some quotes, each with a key of its own, and each until it is made; how often each answer came."""
    seen: Counter[str] = Counter()
    for number in range(quotes):
        said = ""
        while said != "201":
            try:
                said = str(call(port, "POST", "/v1/quotes", SMALL, {**JSON, "Idempotency-Key": f"{client}-{number}"})[0])
            except (OSError, HTTPException) as error:
                said = type(error).__name__
            seen[said] += 1
            time.sleep(0.2 if said == "409" else 0)
    return seen


def under_fire(server: int, port: int, clients: int, quotes: int) -> Counter[str]:
    """Stubborn clients while workers are killed, twice a second for ten seconds."""
    with ThreadPoolExecutor(clients) as pool:
        asking = [pool.submit(stubborn, port, client, quotes) for client in range(clients)]
        for _ in range(20):
            time.sleep(0.5)
            kill_a_worker(server, "")
        return sum((each.result() for each in asking), Counter[str]())


def main(posts: int, url: str) -> None:
    """The storm and the fire on a real server with two workers; `url` is of a PostgreSQL database of its own, that is emptied."""
    for at in ("", url):
        with tempfile.TemporaryDirectory() as place:
            found = emptied(at) if at else f"sqlite:///{place}/q.sqlite3"
            port = free_port()
            with (Path(place) / "log").open("w") as log:
                server = started(Path(place), port, log, SERVICE_DATABASE_URL=found)
            wait_for(server, port)
            figures, fire = storm(port, posts), under_fire(server.pid, port, 8, 150)
            stopped(server)
            store = Quotes(found, 1)
            print(
                found.split(":")[0],
                figures["answers"],
                "different answers:",
                figures["different"],
                "under fire:",
                dict(fire),
                "quotes:",
                count(store),
            )
            store.close()


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
