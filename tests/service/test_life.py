"""The life of a quote over HTTP: revised, accepted, declined, withdrawn, lapsed; on SQLite and on PostgreSQL."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from flask.testing import FlaskClient

from service.engine.engine import Engine
from service.settings import Settings
from service.storage import Quotes
from tests.service.conftest import made_app
from tests.service.holders import link_to
from tests.service.test_migrations import checksum_of

WHO = {"customer": {"name": "Asta Lindqvist"}, "note": "By telephone."}


@pytest.fixture
def open_shop(engine: Engine, store: Quotes) -> FlaskClient:
    return made_app(engine, store).test_client()


@pytest.fixture
def demo(demo: dict[str, Any]) -> dict[str, Any]:
    demo["assemblies"] = demo["assemblies"][:2]
    return demo


def seen(answer: Any) -> dict[str, str]:
    return {"If-Match": answer.headers["ETag"]}


def act(client: FlaskClient, quote: Any, step: str, body: Any, headers: dict[str, str] | None = None) -> Any:
    return client.post(f"/v1/quotes/{quote.json['id']}/{step}", json=body, headers=headers or {})


def test_an_acceptance_changes_status_etag_and_who_accepted_and_nothing_else(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    accepted = act(open_shop, made, "acceptance", WHO, seen(made))
    assert (accepted.status_code, accepted.json["status"]) == (200, "accepted")
    assert accepted.headers["ETag"] != made.headers["ETag"]
    read = open_shop.get(made.headers["Location"], headers={"If-None-Match": made.headers["ETag"]})
    assert (read.status_code, read.data) == (200, accepted.data)
    at = accepted.json["accepted"]["at"]
    by = f'"accepted":{{"by":"Asta Lindqvist","at":"{at}","open":null,"understood":null}}'.encode()
    assert b'"accepted":null' in made.data
    assert read.data == made.data.replace(b'"status":"issued"', b'"status":"accepted"', 1).replace(b'"accepted":null', by, 1)
    assert checksum_of(read.json) == made.json["checksum"]
    (issued, event) = open_shop.get(f"{made.headers['Location']}/events").json["events"]
    assert (issued["type"], issued["key"], event["type"], event["by"], event["note"], event["key"], event["occurred_at"]) == (
        "quote.issued",
        "demo",
        "quote.accepted",
        "Asta Lindqvist",
        "By telephone.",
        "demo",
        at,
    )


def test_an_acceptance_says_which_quote_was_seen_and_who_accepts(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    assert act(open_shop, made, "acceptance", WHO).status_code == 428
    for wrong in ('"other"', f"W/{made.headers['ETag']}"):
        answer = act(open_shop, made, "acceptance", WHO, {"If-Match": wrong})
        assert (answer.status_code, answer.headers["ETag"]) == (412, made.headers["ETag"])
    answer = act(open_shop, made, "acceptance", {"customer": {}, "who": "x"}, seen(made))
    assert answer.status_code == 422
    assert sorted(each["pointer"] for each in answer.json["errors"]) == ["#/customer/name", "#/who"]
    assert open_shop.get(made.headers["Location"]).json["status"] == "issued"
    assert act(open_shop, made, "acceptance", WHO, seen(made)).status_code == 200


def test_a_link_accepts_only_a_state_that_it_names_and_a_key_any(open_shop: FlaskClient, store: Quotes, demo: dict[str, Any]) -> None:
    """`If-Match: *` holds for any current state (RFC 9110, 13.1.1), so it does not say that anything was seen."""
    made, other = (open_shop.post("/v1/quotes", json=demo) for _ in range(2))
    customer = open_shop.application.test_client()
    customer.environ_base.pop("HTTP_AUTHORIZATION")
    at = f"{made.headers['Location']}/acceptance?token={link_to(store, made.json['id'])}"
    for header in ("*", '"*"', '*, "other"'):
        answer = customer.post(at, json=WHO, headers={"If-Match": header})
        assert answer.status_code == {"*": 428, '"*"': 412}.get(header, 400), header  # the last is none of the two forms of the field
    assert open_shop.get(made.headers["Location"]).json["status"] == "issued"
    assert customer.post(at, json=WHO, headers=seen(made)).status_code == 200
    assert open_shop.get(f"{made.headers['Location']}/events").json["events"][-1]["key"] is None  # a link is no key
    assert act(open_shop, other, "acceptance", WHO, {"If-Match": "*"}).status_code == 200


def test_of_acceptances_at_once_one_wins(engine: Engine, store: Quotes, demo: dict[str, Any]) -> None:
    app = made_app(engine, store)
    made = app.test_client().post("/v1/quotes", json=demo)
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: act(app.test_client(), made, "acceptance", WHO, seen(made)).status_code, range(8)))
    assert answers.count(200) == 1
    assert set(answers) <= {200, 409, 412}
    events = app.test_client().get(f"{made.headers['Location']}/events").json["events"]
    assert [each["type"] for each in events] == ["quote.issued", "quote.accepted"]


def test_a_quote_with_an_assembly_on_hold_cannot_be_accepted(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"][0]["turnbuckle"].pop("setting")
    made = open_shop.post("/v1/quotes", json=demo)
    answer = act(open_shop, made, "acceptance", WHO, seen(made))
    assert (answer.status_code, answer.json["errors"][0]["code"]) == (409, "on_hold")
    assert demo["assemblies"][0]["tag"] in answer.json["detail"]


def test_a_quote_that_still_asks_is_accepted_as_listed_and_in_the_customers_words(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    """A note is asked about (pricing/checks/customer_input.py): the shop reads it before it cuts."""
    demo["assemblies"][0]["note"] = "Chafed at the spreader."
    made = open_shop.post("/v1/quotes", json=demo)
    tag, understood = demo["assemblies"][0]["tag"], "I know that the shop still reads my note."
    assert made.json["current_readiness"] == {tag: "confirm", demo["assemblies"][1]["tag"]: "ready_to_cut"}
    refused = act(open_shop, made, "acceptance", WHO, seen(made))
    assert (refused.status_code, {each["code"] for each in refused.json["errors"]}) == (409, {"open_findings"})
    assert all(tag in each["detail"] for each in refused.json["errors"])
    silent = act(open_shop, made, "acceptance", {**WHO, "open": "as_listed"}, seen(made))
    assert (silent.status_code, [(each["pointer"], each["code"]) for each in silent.json["errors"]]) == (
        422,
        [("#/understood", "required")],
    )
    assert open_shop.get(made.headers["Location"]).data == made.data
    done = act(open_shop, made, "acceptance", {**WHO, "open": "as_listed", "understood": understood}, seen(made))
    assert (done.status_code, done.json["accepted"]["open"], done.json["accepted"]["understood"]) == (200, "as_listed", understood)
    assert done.json["current_readiness"] == made.json["current_readiness"]  # accepted, and still to be settled before it is cut


def test_an_accepted_quote_is_revised_for_other_work_and_the_revision_is_to_be_accepted_again(
    open_shop: FlaskClient, demo: dict[str, Any]
) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    first = act(open_shop, made, "acceptance", WHO, seen(made))
    assert act(open_shop, made, "revisions", demo, seen(made)).status_code == 412  # that was before it was accepted
    revised = act(open_shop, made, "revisions", {**demo, "assemblies": demo["assemblies"][:1]}, seen(first))
    assert (revised.status_code, revised.json["revision"], revised.json["status"], revised.json["accepted"]) == (201, 2, "issued", None)
    old = open_shop.get(made.headers["Location"])
    assert (old.json["status"], old.json["accepted"]) == ("superseded", first.json["accepted"])
    events = open_shop.get(f"{made.headers['Location']}/events").json["events"]
    assert [each["type"] for each in events] == ["quote.issued", "quote.accepted", "quote.superseded"]
    assert act(open_shop, revised, "acceptance", WHO, seen(revised)).status_code == 200


@pytest.mark.parametrize("step", ["corrections", "cancellation", "handover", "settlements", "reversal"])
def test_a_step_of_the_shop_that_names_another_state_than_the_present_one_is_not_taken(
    open_shop: FlaskClient, demo: dict[str, Any], step: str
) -> None:
    demo["note"] = "Ring first."
    made = open_shop.post("/v1/quotes", json=demo)
    at = f"{made.headers['Location']}/settlements"
    (asked,) = open_shop.get(at).json["open"]
    answer = {**{name: asked[name] for name in ("tag", "code", "pointer")}, "words": "Rang them.", "by": "Jo Marsh"}
    given = open_shop.post(at, json=answer)
    accepted = act(open_shop, made, "acceptance", WHO, seen(given))
    if step == "handover":
        finished = [{"tag": each["tag"], "finished_length": f"{each['target_length']['mm']} mm"} for each in made.json["assemblies"]]
        assert act(open_shop, made, "as-built", {"assemblies": finished}).json["verdict"] == "pass"
    bodies = {"corrections": demo, "cancellation": {"reason": "Sold."}, "handover": {}, "settlements": answer}
    undone = {"by": "Jo Marsh", "reason": "Rang somebody else."}
    path = f"settlements/{given.json['settlements'][0]['id']}/reversal" if step == "reversal" else step
    before = open_shop.get(made.headers["Location"])
    late = act(open_shop, made, path, bodies.get(step, undone), {"If-Match": made.headers["ETag"]})
    assert (late.status_code, late.headers["ETag"]) == (412, before.headers["ETag"])
    assert open_shop.get(made.headers["Location"]).data == before.data
    assert accepted.json["accepted"] == before.json["accepted"]
    if step != "settlements":  # settled already
        assert act(open_shop, made, path, bodies.get(step, undone), seen(before)).status_code in (200, 201)


@pytest.mark.parametrize("step", ["decline", "withdrawal"])
def test_a_quote_that_ended_takes_no_acceptance_and_says_why(open_shop: FlaskClient, demo: dict[str, Any], step: str) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    assert act(open_shop, made, step, {}, {"If-Match": '"other"'}).status_code == 412
    ended = act(open_shop, made, step, {"by": "the loft", "reason": "Wire no longer to be had."})
    assert ended.json["status"] == {"decline": "declined", "withdrawal": "withdrawn"}[step]
    answer = act(open_shop, made, "acceptance", WHO, seen(ended))
    assert (answer.status_code, answer.json["errors"][0]["code"]) == (409, ended.json["status"])
    assert act(open_shop, made, "revisions", demo).status_code == (201 if step == "decline" else 409)


def test_a_revision_bears_the_number_and_says_what_changed(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    first, second = demo["assemblies"]
    longer = json.loads(json.dumps(first))
    longer["measurement"]["readings"] = [each.replace("29 ft", "30 ft") for each in first["measurement"]["readings"]]
    revised = act(open_shop, made, "revisions", {**demo, "assemblies": [longer]}, seen(made))
    assert revised.status_code == 201
    assert (revised.json["number"], revised.json["revision"], revised.json["supersedes"]) == (made.json["number"], 2, made.json["id"])
    assert checksum_of(revised.json) == revised.json["checksum"]
    changed = revised.json["difference"]
    assert [(each["code"], each["pointer"], each["tag"]) for each in changed["causes"]] == [
        ("removed", "/assemblies/1", second["tag"]),
        ("other", "/assemblies/0/measurement/readings", first["tag"]),
    ]
    effects = {each["pointer"]: each for each in changed["effects"]}
    cut = effects["/assemblies/0/cut_length"]["values"]
    was, now = (float(cut[when]["mm"]) for when in ("before", "after"))
    assert now - was == pytest.approx(304.8, abs=0.11)  # a foot is 304.8 mm exactly (international foot); cut lengths are to 0.1 mm
    assert f"{second['tag']}, wire: removed." in changed["words"]
    totals = [each.json["totals"]["payable"] for each in (made, revised)]
    assert effects["/totals/payable"]["values"] == {
        when: {"kind": "money", "amount": amount, "currency": "USD"} for when, amount in zip(("before", "after"), totals, strict=True)
    }
    bill = [each for each in changed["effects"] if each["pointer"].startswith("/bill_of_materials/")]
    names = {line["name"] for line in made.json["bill_of_materials"]}
    assert {each["values"]["name"]["text"] for each in bill} <= names
    served = open_shop.get(f"{revised.headers['Location']}/difference").json
    assert {name: served[name] for name in changed} == changed
    assert open_shop.get(f"{made.headers['Location']}/difference").status_code == 404


def test_a_revision_of_an_earlier_release_keeps_its_difference(
    open_shop: FlaskClient, demo: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As release 0.3 stored it; the client holds it to the contract."""
    field = {"name": "cut_length", "called": "cut length", "before": "9500.0 mm (31 ft 2 in)", "after": None}
    part = {"sku": "W", "name": "Wire", "unit": "m", "kept": False, "before": "4.164", "after": None}
    stored = {
        "words": ["CAP-P: cut length was 9500.0 mm (31 ft 2 in), is none."],
        "assemblies": [{"tag": "CAP-P", "change": "changed", "fields": [field]}],
        "parts": [part],
        "totals": [{"name": "payable", "called": "payable", "before": "10.00 USD", "after": "nothing priced"}],
    }
    monkeypatch.setattr("service.quotes.actions.between", lambda *_: stored)
    made = open_shop.post("/v1/quotes", json=demo)
    at = act(open_shop, made, "revisions", demo).headers["Location"]
    monkeypatch.undo()
    assert open_shop.get(at).json["difference"] == stored
    served = open_shop.get(f"{at}/difference").json
    assert {name: served[name] for name in stored} == stored


def test_a_superseded_quote_and_its_revision_link_to_each_other_and_only_the_last_goes_on(
    open_shop: FlaskClient, demo: dict[str, Any]
) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    revised = act(open_shop, made, "revisions", demo)
    assert revised.json["difference"] == {"words": ["Nothing changed."], "causes": [], "effects": []}
    old, new = open_shop.get(made.headers["Location"]), open_shop.get(revised.headers["Location"])
    assert (old.json["status"], new.json["status"]) == ("superseded", "issued")
    assert old.headers["Link"] == f'<{revised.headers["Location"]}>; rel="successor-version"'
    assert new.headers["Link"] == f'<{made.headers["Location"]}>; rel="predecessor-version"'
    assert act(open_shop, made, "revisions", demo).status_code == 409
    assert act(open_shop, made, "acceptance", WHO, seen(old)).status_code == 409
    again = act(open_shop, revised, "revisions", demo)
    assert again.json["revision"] == 3
    assert open_shop.post("/v1/quotes", json=demo).json["number"] == "Q-2026-000002"


def test_a_revision_that_cannot_be_read_leaves_the_quote_open(open_shop: FlaskClient, demo: dict[str, Any]) -> None:
    made = open_shop.post("/v1/quotes", json=demo)
    assert act(open_shop, made, "revisions", {"assemblies": []}).status_code == 422
    assert act(open_shop, made, "revisions", demo, {"If-Match": '"other"'}).status_code == 412
    assert open_shop.get(made.headers["Location"]).json["status"] == "issued"


def shop_at(engine: Engine, store: Quotes, moment: datetime) -> FlaskClient:
    """The shop at a moment; it is in Auckland, where the day begins thirteen hours before it does in UTC (IANA, summer time)."""
    clock = Settings(now=lambda: moment, timezone=ZoneInfo("Pacific/Auckland"))
    return made_app(replace(engine, today=clock.day), store).test_client()


def test_a_quote_holds_to_the_last_second_of_its_last_day_in_the_shops_time_zone(
    engine: Engine, store: Quotes, demo: dict[str, Any]
) -> None:
    made = shop_at(engine, store, datetime(2026, 11, 25, 3, 0, tzinfo=UTC)).post("/v1/quotes", json=demo)
    assert made.json["valid_until"] == "2026-12-25"
    late = shop_at(engine, store, datetime(2026, 12, 25, 11, 0, 0, tzinfo=UTC))  # 26 December, 00:00:00 in Auckland
    lapsed = late.get(made.headers["Location"])
    assert (lapsed.json["status"], lapsed.headers["ETag"] != made.headers["ETag"]) == ("expired", True)
    assert late.get("/v1/quotes").json["quotes"][0]["status"] == "expired"
    answer = act(late, made, "acceptance", WHO, seen(made))
    assert (answer.status_code, answer.json["errors"][0]["code"]) == (409, "expired")
    in_time = shop_at(engine, store, datetime(2026, 12, 25, 10, 59, 59, tzinfo=UTC))
    assert act(in_time, made, "acceptance", WHO, seen(made)).status_code == 200
    assert late.get(made.headers["Location"]).json["status"] == "accepted"


def test_the_shops_day_is_that_of_its_terms_unless_set(engine: Engine) -> None:
    clock = Settings(now=lambda: datetime(2026, 12, 25, 11, 0, tzinfo=UTC))
    assert clock.day(ZoneInfo("Pacific/Auckland")) == date(2026, 12, 26)
    assert replace(clock, timezone=ZoneInfo("UTC")).day(ZoneInfo("Pacific/Auckland")) == date(2026, 12, 25)


def test_an_unknown_quote_has_no_life(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = "/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e"
    built = {"assemblies": [{"tag": "A", "finished_length": "1 m"}]}
    answer, undone = (
        {"code": "customers-note", "pointer": "/note", "words": "Read.", "by": "Jo Marsh"},
        {"by": "Jo Marsh", "reason": "Wrong."},
    )
    for step, body in (
        ("revisions", demo),
        ("corrections", demo),
        ("acceptance", WHO),
        ("decline", {}),
        ("withdrawal", {}),
        ("cancellation", {"reason": "Sold."}),
        ("handover", {}),
        ("as-built", built),
        ("settlements", answer),
        ("settlements/01a21211-138e-7ff9-814a-1ce6de70983f/reversal", undone),
    ):
        assert client.post(f"{at}/{step}", json=body, headers={"If-Match": '"x"'}).status_code == 404, step
    for part in ("events", "difference", "as-built", "settlements"):
        assert client.get(f"{at}/{part}").status_code == 404, part
