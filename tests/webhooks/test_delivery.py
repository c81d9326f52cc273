"""Messages from the quote to the receiver, on both databases: written in the transaction they report, delivered at least once, eventually
given up."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import date, timedelta
from typing import Any

import pytest
from msgspec.structs import replace
from sqlalchemy import event, text
from standardwebhooks import Webhook

from pricing.model import Quote
from service.engine.engine import Engine
from service.lifecycle.events import EventType
from service.storage import Endpoints, Expiries, Messages, Quotes
from service.webhooks.delivery import LANES, Courier, Sender
from service.webhooks.signing import new_secret, spelled
from tests.batches.fleet import NDJSON, fleet, worked
from tests.service.conftest import DAY, made_app
from tests.service.test_server import free_port
from tests.service.test_storage import QUOTE
from tests.webhooks.receiving import LEASE, Receiver, Site, raw_receiver, receiver, says

# the schedule of Standard Webhooks 1.0.0, "Deliverability and reliability", in seconds after each attempt
SCHEDULE = [5, 5 * 60, 30 * 60, 2 * 3600, 5 * 3600, 10 * 3600, 14 * 3600, 20 * 3600, 24 * 3600]


@pytest.fixture
def site(store: Quotes) -> Iterator[Site]:
    made = Site(store)
    yield made
    made.courier.close()


def test_each_step_of_a_quote_is_told_without_anybodys_name(site: Site, engine: Engine, demo: dict[str, Any]) -> None:
    client = made_app(engine, site.store).test_client()
    demo["customer"] = {"name": "Asta Lindqvist", "email": "asta@boats.example"}
    with receiver() as shop:
        _, secret = site.endpoint(shop.url)
        first = client.post("/v1/quotes", json=demo)
        second = client.post(f"/v1/quotes/{first.json['id']}/revisions", json=demo)
        seen = {"If-Match": second.headers["ETag"]}
        client.post(f"/v1/quotes/{second.json['id']}/acceptance", json={"customer": {"name": "Asta Lindqvist"}}, headers=seen)
        third, fourth = (client.post("/v1/quotes", json=demo).json["id"] for _ in range(2))
        client.post(f"/v1/quotes/{third}/decline", json={"by": "Asta Lindqvist"})
        client.post(f"/v1/quotes/{fourth}/withdrawal", json={"by": "the shop"})
        while any(row.state == "waiting" for row in site.rows()):
            site.deliver()
    told = sorted((each["data"]["number"], each["data"]["revision"], each["type"], each["data"]["status"]) for each in shop.said())
    assert told == [
        ("Q-2026-000001", 1, "quote.issued", "issued"),
        ("Q-2026-000001", 1, "quote.superseded", "superseded"),
        ("Q-2026-000001", 2, "quote.accepted", "accepted"),
        ("Q-2026-000001", 2, "quote.issued", "issued"),
        ("Q-2026-000002", 1, "quote.declined", "declined"),
        ("Q-2026-000002", 1, "quote.issued", "issued"),
        ("Q-2026-000003", 1, "quote.issued", "issued"),
        ("Q-2026-000003", 1, "quote.withdrawn", "withdrawn"),
    ]
    for path, headers, body in shop.got:
        assert path == "/hook?token=asta"
        assert headers["Content-Type"] == "application/json"
        said = Webhook(spelled(secret)).verify(body, headers)
        quote = client.get(said["data"]["href"]).json
        assert (quote["currency"], quote["totals"]["payable"]) == (said["data"]["currency"], said["data"]["payable"])
        assert b"sta" not in body.replace(b'"status"', b"").replace(b'"timestamp"', b"")


def test_a_batch_tells_of_its_quotes_and_of_its_end_once(site: Site, engine: Engine) -> None:
    app = made_app(engine, site.store)
    site.endpoint("http://127.0.0.1:9/hook")
    made = app.test_client().post("/v1/batches", data=fleet(3), content_type=NDJSON)
    worked(app, site.store)
    bodies = [json.loads(bytes(row.body)) for row in site.rows()]
    assert [each["type"] for each in bodies].count("quote.issued") == 3
    ended = [each["data"] for each in bodies if each["type"] == "batch.completed"]
    assert ended == [
        {"id": made.json["id"], "status": "completed", "total": 3, "succeeded": 3, "failed": 0, "href": f"/v1/batches/{made.json['id']}"}
    ]


def test_of_what_was_undone_nothing_is_told(site: Site) -> None:
    site.endpoint("http://127.0.0.1:9/hook")

    def undone() -> None:
        with site.store.together():
            site.store.issue(QUOTE, b"{}")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        undone()
    assert site.rows() == []
    site.store.issue(QUOTE, b"{}")
    assert len(site.rows()) == 1


def test_an_endpoint_is_told_of_the_events_that_it_wants_and_of_none_before_or_after(site: Site) -> None:
    site.store.issue(QUOTE, b"{}")
    batch, _ = site.endpoint("http://127.0.0.1:9/a", [EventType.BATCH_COMPLETED])
    every, _ = site.endpoint("http://127.0.0.1:9/b")
    site.store.issue(QUOTE, b"{}")
    Endpoints(site.store).remove(every, "removed by the shop")
    site.store.issue(QUOTE, b"{}")
    assert [(row.endpoint_id, row.state) for row in site.rows()] == [(every, "dead")]
    assert batch != every


def test_a_receiver_that_is_down_gets_everything_once_it_is_up(site: Site) -> None:
    port = free_port()
    site.endpoint(f"http://127.0.0.1:{port}/hook")
    for _ in range(3):
        site.store.issue(QUOTE, b"{}")
    site.deliver()
    assert site.states() == [("waiting", 1, "nothing is listening there")] * 3
    with receiver(port=port) as shop:
        site.deliver()
        assert shop.got == []  # not yet due
        site.clock.ahead = 7.0
        site.deliver()
    assert sorted(shop.ids()) == [row.id for row in site.rows()]
    assert site.states() == [("delivered", 2, "204")] * 3


def test_an_attempt_after_another_has_the_same_id_and_a_signature_of_its_own_time(site: Site) -> None:
    with receiver(says(500), says(500), says(200)) as shop:
        _, secret = site.endpoint(shop.url)
        site.store.issue(QUOTE, b"{}")
        for ahead in (0, 7, 400):
            site.clock.ahead = ahead
            site.deliver()
        site.clock.ahead = 90_000
        site.deliver()
    assert len(set(shop.ids())) == 1
    assert len(shop.got) == 3
    for _, headers, body in shop.got:
        Webhook(spelled(secret)).verify(body, headers)
    assert site.states() == [("delivered", 3, "200")]


def test_the_schedule_is_that_of_the_specification_and_ends_in_a_dead_letter_that_can_be_sent_again(site: Site) -> None:
    with receiver(says(503)) as shop:
        site.endpoint(shop.url)
        site.store.issue(QUOTE, b"{}")
        for wait in SCHEDULE:
            before = site.clock()
            site.deliver()
            due, after = site.rows()[0].due, site.clock()
            assert before + wait <= due <= after + 1.2 * wait
            site.clock.ahead += due - after + 0.1
        site.deliver()
        assert site.states() == [("dead", 10, "503")]
        letters = Messages(site.store, LEASE)
        dead = letters.dead()
        assert [(each.event, each.attempts, each.answer) for each in dead] == [("quote.issued", 10, "503")]
        shop.answers = [says(200)]
        assert letters.send_again(dead[0].id) == 1
        site.deliver()
    assert site.states() == [("delivered", 1, "200")]
    assert len(set(shop.ids())) == 1


def test_a_receiver_may_ask_to_wait_longer(site: Site) -> None:
    with receiver(says(429, Retry_After="120")) as shop:
        site.endpoint(shop.url)
        site.store.issue(QUOTE, b"{}")
        before = site.clock()
        site.deliver()
    assert before + 120 <= site.rows()[0].due <= site.clock() + 120


def test_gone_ends_the_endpoint_and_all_that_waits_for_it(site: Site) -> None:
    with receiver(says(410)) as shop:
        ended, _ = site.endpoint(shop.url)
        for _ in range(LANES + 3):
            site.store.issue(QUOTE, b"{}")
        site.deliver()
        site.store.issue(QUOTE, b"{}")
        site.deliver()
        assert len(shop.got) <= LANES
    found = Endpoints(site.store).every()[0]
    assert found.removed_at is not None
    assert found.why == "410: the receiver wants no more messages"
    assert found.secrets == (b"",)  # nothing is signed any more
    assert {row.state for row in site.rows()} == {"dead"}
    assert Messages(site.store, LEASE).send_again(ended) == 0


def test_a_redirect_is_a_failure_and_not_followed(site: Site) -> None:
    with receiver() as other, receiver(says(307, Location=other.url)) as shop:
        site.endpoint(shop.url)
        site.store.issue(QUOTE, b"{}")
        site.deliver()
        assert (len(shop.got), other.got) == (1, [])
    assert site.states() == [("waiting", 1, "307, and redirects are not followed")]


def test_a_reply_that_drips_ends_by_the_time_of_the_whole(store: Quotes) -> None:
    def drip(connection: socket.socket) -> None:
        for byte in b"HTTP/1.1 200 OK\r\n" + b"x" * 6000:  # for ten minutes
            time.sleep(0.1)
            try:
                connection.sendall(bytes([byte]))
            except OSError:
                return

    site = Site(store, seconds=1.0)
    with raw_receiver(drip) as port:
        site.endpoint(f"http://127.0.0.1:{port}/hook")
        site.store.issue(QUOTE, b"{}")
        site.deliver(60)
    site.courier.close()
    assert site.rows()[0].state == "waiting"
    assert site.rows()[0].answer.startswith("no reply within")


@pytest.mark.parametrize(
    ("reply", "answer"),
    [
        (b"HTTP/1.1 100 Continue\r\n\r\nHTTP/1.1 200 OK\r\n\r\n", "200"),
        (b"HTTP/1.1 200 OK\r\nX: " + b"x" * 1_000_000, "200"),  # read up to 8 KiB, and the status is known by then
        (b"HTTP/1.1 200 OK\r\n", "it closed the connection before its reply was complete"),
        (b"SSH-2.0-x\r\n\r\n", "its reply is not HTTP"),
        (b"", "it closed the connection before its reply was complete"),
    ],
)
def test_what_is_read_of_a_reply(quotes: Quotes, reply: bytes, answer: str) -> None:
    def talk(connection: socket.socket) -> None:
        connection.recv(65536)
        with suppress(OSError):  # the sender has seen enough
            connection.sendall(reply)
        connection.close()

    site = Site(quotes)
    with raw_receiver(talk) as port:
        site.endpoint(f"http://127.0.0.1:{port}/hook")
        quotes.issue(QUOTE, b"{}")
        site.deliver()
    site.courier.close()
    assert site.rows()[0].answer == answer


def test_a_receiver_that_never_answers_holds_up_no_other(store: Quotes) -> None:
    """It is waited for longer than this test is."""
    answered, site = threading.Event(), Site(store, seconds=3600.0)
    with raw_receiver(lambda connection: answered.wait(600)) as port, receiver() as shop:
        site.endpoint(f"http://127.0.0.1:{port}/hook")
        site.endpoint(shop.url)
        for _ in range(10):
            store.issue(QUOTE, b"{}")
        until = time.monotonic() + 180
        try:
            while len(shop.got) < 10:
                site.courier.look()
                assert time.monotonic() < until, len(shop.got)
                time.sleep(0.01)
        finally:
            answered.set()
            site.courier.close()


def test_two_couriers_never_hold_one_message_and_a_lapsed_lease_is_taken_up(site: Site) -> None:
    site.endpoint("http://127.0.0.1:9/hook")
    endpoint = Endpoints(site.store).live()[0].id
    for _ in range(6):
        site.store.issue(QUOTE, b"{}")
    steady = [0.0]
    one, two = (Messages(site.store, LEASE, site.clock, lambda: steady[0]) for _ in range(2))
    first, second = one.claim(endpoint, 4), two.claim(endpoint, 4)
    assert (len(first), len(second)) == (4, 2)
    assert not {each.id for each in first} & {each.id for each in second}
    for moment in (0.0, LEASE - 0.1):
        steady[0] = moment
        two.free()
        assert two.claim(endpoint, 4) == []
    steady[0] = LEASE
    two.free()
    again = two.claim(endpoint, 4)
    assert {each.id for each in again} <= {each.id for each in (*first, *second)}
    late = next(each for each in first if each.id in {held.id for held in again})
    one.delivered(late, "200")  # its lease had lapsed: another holds it
    assert next(row for row in site.rows() if row.id == late.id).state == "waiting"


def test_while_a_secret_is_replaced_the_receiver_may_have_either(site: Site) -> None:
    with receiver() as shop:
        endpoint, old = site.endpoint(shop.url)
        new = new_secret()
        Endpoints(site.store).rotate(endpoint, new, time.time() + 60)
        site.store.issue(QUOTE, b"{}")
        site.deliver()
        site.clock.ahead = 61
        site.store.issue(QUOTE, b"{}")
        site.deliver()
    (_, both, body), (_, alone, _) = shop.got
    for secret in (old, new):
        Webhook(spelled(secret)).verify(body, both)
    assert (both["webhook-signature"].count("v1,"), alone["webhook-signature"].count("v1,")) == (2, 1)


def document(last_day: date) -> Quote:
    return replace(QUOTE, valid_until=last_day.isoformat())


def test_an_expired_quote_is_told_once_when_its_last_day_is_over(site: Site) -> None:
    store, day = site.store, [DAY]
    long_over = store.issue(document(DAY - timedelta(days=1)), b"{}")[0]
    site.endpoint("http://127.0.0.1:9/a", [EventType.EXPIRED])
    site.endpoint("http://127.0.0.1:9/b", [EventType.EXPIRED])
    issued = [store.issue(document(DAY + timedelta(days=each // 3)), b"{}")[0] for each in range(9)]
    expiries = [Expiries(store, lambda: day[0], at_once=2) for _ in range(2)]
    assert [each.report() for each in expiries] == [0, 0]
    day[0] = DAY + timedelta(days=1)
    assert [each.report() for each in expiries] == [3, 0]
    day[0] = DAY + timedelta(days=5)
    assert [each.report() for each in reversed(expiries)] == [6, 0]
    day[0] = DAY  # a clock that was set back
    assert expiries[0].report() == 0
    told = [json.loads(bytes(row.body))["data"] for row in site.rows()]
    assert sorted(each["id"] for each in told) == sorted([each.id for each in issued] * 2)
    assert {each["status"] for each in told} == {"expired"}
    assert long_over.id not in {each["id"] for each in told}


def test_of_workers_that_look_at_the_same_moment_each_quote_is_told_by_one(site: Site) -> None:
    site.endpoint("http://127.0.0.1:9/a", [EventType.EXPIRED])
    with site.store.writing() as connection:  # as where no worker has looked yet, ever
        connection.execute(text("DELETE FROM chores"))
    stores = [Quotes(site.store.url, 1) for _ in range(4)]
    all_looked = threading.Barrier(len(stores))

    def wait(*looked: Any) -> None:
        if looked[2].startswith("SELECT chores") and looked[0].get_execution_options().get("writes"):
            with suppress(threading.BrokenBarrierError):  # where one holds the row the others cannot look
                all_looked.wait(0.5)

    for each in stores:
        event.listen(each.engine(), "after_cursor_execute", wait)
    issued = [site.store.issue(document(DAY), b"{}")[0].id for _ in range(9)]
    told = []
    with ThreadPoolExecutor(len(stores)) as pool:
        for day in (DAY, DAY + timedelta(days=1)):
            told.append(sum(pool.map(lambda each, day=day: Expiries(each, lambda: day, at_once=4).report(), stores)))  # type: ignore[misc]
            all_looked.reset()
    for each in stores:
        each.close()
    assert told == [0, len(issued)]
    assert sorted(json.loads(bytes(row.body))["data"]["id"] for row in site.rows()) == sorted(issued)


def test_a_quote_that_was_accepted_does_not_expire(site: Site, engine: Engine, demo: dict[str, Any]) -> None:
    site.endpoint("http://127.0.0.1:9/a", [EventType.EXPIRED])
    client = made_app(engine, site.store).test_client()
    made = client.post("/v1/quotes", json=demo)
    accepted = client.post(
        f"/v1/quotes/{made.json['id']}/acceptance", json={"customer": {"name": "x"}}, headers={"If-Match": made.headers["ETag"]}
    )
    assert accepted.status_code == 200
    assert Expiries(site.store, lambda: DAY + timedelta(days=400)).report() == 0


def test_with_nobody_to_tell_a_quote_costs_one_look_a_second(quotes: Quotes) -> None:
    looks, now = [], [0.0]
    listeners = quotes.listeners
    listeners._clock = lambda: now[0]
    now[0] = 1.0

    class Seen:
        def execute(self, *_: Any) -> list[Any]:
            looks.append(now[0])
            return []

    for step in range(100):
        now[0] = 1.0 + step / 40
        listeners.notify(Seen(), EventType.ISSUED, dict)  # type: ignore[arg-type]
    assert looks == [1.0, 2.0, 3.0]


def test_the_courier_beside_the_loop_delivers_and_ends(quotes: Quotes) -> None:
    with receiver() as shop:
        site = Site(quotes)
        site.endpoint(shop.url)
        running = Courier(Endpoints(quotes), Messages(quotes, LEASE), Sender(2, private=True))
        running.begin()
        quotes.issue(QUOTE, b"{}")
        until = time.monotonic() + 180
        while not shop.got and time.monotonic() < until:
            time.sleep(0.02)
        running.close()
    assert len(shop.got) == 1
    assert isinstance(shop, Receiver)
    assert site.states() == [("delivered", 1, "204")]
    site.courier.close()
