"""`Idempotency-Key`: a repeated request is carried out once, on both databases, whatever dies in between.

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
from contextlib import closing, suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import text

from service.credentials.keys import Scope
from service.engine.engine import Engine
from service.http.idempotency import key_in
from service.http.problems import Problem
from service.storage import IdempotencyStore, Quotes
from service.storage.idempotency import (
    KEPT_SECONDS,
    LEASE_SECONDS,
    IdempotentRequest,
    OtherRequest,
    Overtaken,
    StillRunning,
    StoredResponse,
)
from service.storage.stored_quotes import kept_quotes
from tests.counts import some
from tests.service.conftest import made_app
from tests.service.holders import bearing, kept_key
from tests.service.test_kills import SMALL, emptied, kill_a_worker
from tests.service.test_line import wait_until
from tests.service.test_server import BODY, JSON, call, free_port, started, stopped, wait_for
from tests.service.test_storage import QUOTE

ONCE = {"Idempotency-Key": '"8e03978e-40d5-43dd-bc93-6894a57f9324"'}
WHO = {"customer": {"name": "Asta Lindqvist"}}
ASKED = IdempotentRequest("owner", "key", "f" * 64)
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
    made, other, doubted = (asking.post("/v1/quotes", json=body) for body in (demo, demo, {**demo, "note": "Ring first."}))
    at, asked = made.headers["Location"], doubted.headers["Location"]
    (question,) = asking.get(f"{asked}/settlements").json["open"]
    answer = {**{name: question[name] for name in ("tag", "code", "pointer")}, "words": "Rang them.", "by": "Jo Marsh"}
    later = asking.get(asked).headers["ETag"]
    built = {"assemblies": [{"tag": demo["assemblies"][0]["tag"], "finished_length": "9 m"}]}
    steps: tuple[tuple[str, Any, dict[str, str]], ...] = (
        ("/v1/cutting-plans", {"quotes": [made.json["id"]]}, {}),
        ("/v1/cutting-plans?format=csv", {"quotes": [made.json["id"]]}, {}),
        (f"{at}/acceptance", WHO, {"If-Match": made.headers["ETag"]}),
        (f"{at}/as-built", built, {}),
        (f"{other.headers['Location']}/decline", {}, {}),
        (f"{other.headers['Location']}/revisions", demo, {}),
        (f"{asked}/settlements", answer, {"If-Match": later}),
        (f"{asked}/settlements/{{}}/reversal", {"by": "Jo Marsh", "reason": "Rang somebody else."}, {}),
        (f"{asked}/acceptance", {**WHO, "open": "as_listed", "understood": "I know."}, {"If-Match": "*"}),
        (f"{asked}/corrections", {**demo, "note": "Ring first."}, {}),
        (f"{at}/cancellation", {"reason": "The boat was sold."}, {}),
    )
    for number, (pattern, body, headers) in enumerate(steps):
        path = pattern.format(*(each["id"] for each in asking.get(asked).json["settlements"]))
        first, again = (asking.post(path, json=body, headers={**headers, "Idempotency-Key": f"step-{number}"}) for _ in range(2))
        assert (again.status_code, again.data) == (first.status_code, first.data)
        assert first.status_code in (200, 201)
        assert [again.headers.get(name) for name in SAID] == [first.headers.get(name) for name in SAID]
    assert count(store) == 5
    assert [each["type"] for each in asking.get(f"{at}/events").json["events"]] == [
        "quote.issued", "quote.accepted", "quote.as_built", "quote.cancelled",
    ]  # fmt: skip
    assert [each["type"] for each in asking.get(f"{asked}/events").json["events"]] == [
        "quote.issued", "quote.settled", "quote.unsettled", "quote.accepted", "quote.superseded",
    ]  # fmt: skip
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
        patched.setattr(IdempotencyStore, "keep", lambda *_: exec("raise failure", {"failure": failure}))  # noqa: S102
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


def test_many_equal_posts_at_once_make_one_quote(engine: Engine, store: Quotes, demo: dict[str, Any]) -> None:
    many = Quotes(store.url)  # as many connections as a server has
    app = made_app(engine, many)
    demo["assemblies"] = demo["assemblies"][:1]
    with closing(many), ThreadPoolExecutor(50) as pool:
        answers = list(pool.map(lambda _: app.test_client().post("/v1/quotes", json=demo, headers=ONCE), range(some(200, 60))))
    assert {each.status_code for each in answers} <= {201, 409}
    assert len({each.data for each in answers if each.status_code == 201}) == 1
    assert all(each.headers["Retry-After"] == "1" for each in answers if each.status_code == 409)
    assert count(store) == 1


def test_while_the_first_is_running_the_second_waits_for_it(store: Quotes) -> None:
    answers = IdempotencyStore(store)
    claim = answers.claim(ASKED)
    with pytest.raises(StillRunning):
        answers.claim(ASKED)
    with pytest.raises(OtherRequest):
        answers.claim(ASKED._replace(fingerprint="0" * 64))
    assert isinstance(answers.claim(ASKED._replace(owner="another")), str)
    answers.keep(ASKED, str(claim), StoredResponse(201, [("ETag", '"x"')], b"said"))
    assert answers.claim(ASKED) == StoredResponse(201, [("ETag", '"x"')], b"said")


def test_an_answer_is_said_again_for_a_day_and_then_forgotten(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = IdempotencyStore(store, lambda: now[0])
    answers.keep(ASKED, str(answers.claim(ASKED)), StoredResponse(201, [], b""))
    now[0] += KEPT_SECONDS - 1
    assert isinstance(answers.claim(ASKED), StoredResponse)
    now[0] += 601  # old answers are looked for every ten minutes
    answers.claim(ASKED._replace(key="another"))
    with store.reading() as connection:
        assert connection.execute(text("SELECT key FROM answers")).scalars().all() == ["another"]
    assert isinstance(answers.claim(ASKED), str)


def issue_and_keep(store: Quotes, answers: IdempotencyStore, claim: str) -> None:
    with store.together():
        store.issue(QUOTE, b"{}")
        answers.keep(ASKED, claim, StoredResponse(201, [], b""))


def test_who_lost_its_claim_keeps_nothing(store: Quotes) -> None:
    now = [1_800_000_000.0]
    answers = IdempotencyStore(store, lambda: now[0])
    slow = str(answers.claim(ASKED))
    now[0] += LEASE_SECONDS + 1
    quick = str(answers.claim(ASKED))
    issue_and_keep(store, answers, quick)
    with pytest.raises(Overtaken):
        issue_and_keep(store, answers, slow)
    assert [each.number for each in kept_quotes(store)] == ["Q-2026-000001"]
    answers.release(ASKED, slow)
    assert isinstance(answers.claim(ASKED), StoredResponse)


def until_of(store: Quotes) -> float:
    with store.reading() as connection:
        return float(connection.execute(text("SELECT until FROM answers")).scalar_one())


def raised(store: Quotes, before: float) -> float:
    """Wait until the claim holds for longer than before; until when it does."""
    over = time.monotonic() + 120
    while (found := until_of(store)) <= before and time.monotonic() < over:
        time.sleep(0.01)
    assert found > before
    return found


def test_a_claim_lasts_as_long_as_its_request_and_a_lease_beyond(store: Quotes) -> None:
    """A cutting plan may take longer than the lease, and its process may be on another machine."""
    now = [1_800_000_000.0]
    over = Quotes(store.url, 2)
    answers = IdempotencyStore(over, lambda: now[0], renewed=0.01)
    with closing(over):
        claim = str(answers.claim(ASKED))
        with over.writing() as connection:
            connection.execute(text("UPDATE answers SET holder = 'elsewhere pid:[1] 1 1'"))
        with answers.holding(ASKED, claim):
            for _ in range(3):
                until = until_of(over)
                now[0] += LEASE_SECONDS - 1
                assert raised(over, until) == now[0] + LEASE_SECONDS
                with pytest.raises(StillRunning):
                    answers.claim(ASKED)
        wait_until(lambda: not answers._renewal._at_work)
        now[0] += LEASE_SECONDS + 1
        assert isinstance(answers.claim(ASKED), str)


def test_the_claim_of_a_request_that_takes_long_is_renewed_meanwhile(
    engine: Engine, store: Quotes, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    over = Quotes(store.url, 2)
    app = made_app(engine, over)
    app.extensions["idempotency_store"] = IdempotencyStore(over, renewed=0.01)
    quote_api = sys.modules["service.api.quotes"]  # by that name the package has its blueprint
    as_it_is = quote_api.quoted

    def slowly(asked: Any) -> Any:
        raised(over, raised(over, until_of(over)))
        return as_it_is(asked)

    monkeypatch.setattr(quote_api, "quoted", slowly)
    with closing(over):
        assert app.test_client().post("/v1/quotes", json=demo, headers=ONCE).status_code == 201


def _die_at(url: str, last: str) -> None:
    """A process that ends without a word after it claimed, after it stored, or after it committed."""
    store = Quotes(url, 2)
    answers = IdempotencyStore(store)
    claim = str(answers.claim(ASKED))
    with suppress(BaseException), store.together():
        if last == "claimed":
            os._exit(9)
        store.issue(QUOTE, b"{}")
        answers.keep(ASKED, claim, StoredResponse(201, [], b"said"))
        if last == "stored":
            os._exit(9)
    os._exit(9)


@pytest.mark.long
@pytest.mark.parametrize("last", ["claimed", "stored", "committed"])
def test_a_process_that_dies_leaves_one_quote_or_none_and_its_retry_makes_it_one(store: Quotes, last: str) -> None:
    process = multiprocessing.get_context("spawn").Process(target=_die_at, args=(store.url, last))
    process.start()
    process.join(60)
    assert process.exitcode == 9
    assert count(store) == (1 if last == "committed" else 0)
    retried = IdempotencyStore(store)  # at once: the process is known to be dead
    claim = retried.claim(ASKED)
    assert isinstance(claim, str) is (last != "committed")
    if isinstance(claim, str):
        issue_and_keep(store, retried, claim)
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
