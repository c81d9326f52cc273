"""Settling over the API, and the way from quote to finished wire: settled, accepted, planned, taken, built, handed over."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.credentials.keys import Kind, Scope
from service.storage import Quotes
from tests.service.holders import bearing, kept_key
from tests.service.steps import WORDS, accepted, settled

# its diameter was read by caliper: one size fits, and the shop is asked to confirm it
READ = {"construction": "1x19", "material": "316", "measured": "4.78 mm"}
WHO = {"customer": {"name": "Asta Lindqvist"}}


def one(demo: dict[str, Any], **wire: Any) -> dict[str, Any]:
    first = demo["assemblies"][0]
    return {**demo, "assemblies": [{**first, "wire": wire}] if wire else [first]}


def asking(client: FlaskClient, demo: dict[str, Any]) -> Any:
    made = client.post("/v1/quotes", json=one(demo, **READ)).json
    assert made["assemblies"][0]["readiness"] == "confirm", made["assemblies"][0]["findings"]
    return made


def at(quote: Any, what: str = "") -> str:
    return f"/v1/quotes/{quote['id']}{what}"


def answers(client: FlaskClient, quote: Any) -> list[dict[str, Any]]:
    found = client.get(at(quote, "/settlements")).json["open"]
    return [{**{name: each[name] for name in ("tag", "code", "pointer")}, **WORDS} for each in found]


def test_what_is_settled_stands_beside_the_status_and_moves_the_etag(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    before, given = client.get(at(made)), answers(client, made)
    done = client.post(at(made, "/settlements"), json={"settlements": given}, headers={"If-Match": before.headers["ETag"]})
    assert done.status_code == 201
    assert done.json["open"] == []
    after = client.get(at(made))
    tag = made["assemblies"][0]["tag"]
    assert (after.json["current_readiness"], after.json["assemblies"][0]["readiness"]) == ({tag: "ready_to_cut"}, "confirm")
    assert next((each["by"], each["words"], each["key"]) for each in after.json["settlements"]) == (WORDS["by"], WORDS["words"], "demo")
    assert after.json["checksum"] == made["checksum"]
    assert after.headers["ETag"] == done.headers["ETag"] != before.headers["ETag"]
    said = client.get(at(made, "/events")).json["events"][-1]
    assert (said["type"], said["by"], said["key"]) == ("quote.settled", WORDS["by"], "demo")
    late = client.post(at(made, "/settlements"), json={"settlements": given}, headers={"If-Match": before.headers["ETag"]})
    assert late.status_code == 412


def test_one_answer_alone_will_do_and_each_that_cannot_be_given_is_refused(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    first, *_ = answers(client, made)
    for wrong, status, code in (
        ({**first, "pointer": "/assemblies/0/nowhere"}, 422, "unknown_finding"),
        ({**first, "tag": "NOBODY"}, 422, "unknown_tag"),
        ({name: each for name, each in first.items() if name != "words"}, 422, "required"),
        ({**first, "words": "  "}, 422, "length"),
    ):
        refused = client.post(at(made, "/settlements"), json=wrong)
        assert (refused.status_code, refused.json["errors"][0]["code"]) == (status, code), refused.json
    unknown = client.post(at(made, "/settlements"), json={**first, "tag": "NOBODY"})
    assert f"it has {first['tag']}" in unknown.json["errors"][0]["detail"]
    assert client.get(at(made)).json["settlements"] == []
    assert client.post(at(made, "/settlements"), json=first).status_code == 201
    twice = client.post(at(made, "/settlements"), json=first)
    assert (twice.status_code, twice.json["errors"][0]["code"]) == (409, "already_settled")


def test_of_two_people_at_once_one_settles_and_the_other_is_told(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    given = {"settlements": answers(client, made)}
    with ThreadPoolExecutor(2) as pool:
        statuses = sorted(each.status_code for each in pool.map(lambda _: client.post(at(made, "/settlements"), json=given), range(2)))
    assert statuses == [201, 409]
    assert len(client.get(at(made)).json["settlements"]) == len(given["settlements"])


def test_only_a_key_with_its_scope_settles(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    counter = bearing(kept_key(quotes, scopes=[Scope.WRITE, Scope.READ]))
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=["https://shop.example"]), Origin="https://shop.example")
    bench = bearing(kept_key(quotes, scopes=[Scope.SETTLE]))
    client = app.test_client()
    made = asking(client, demo)
    given = {"settlements": answers(client, made)}
    for other in (counter, page):
        assert client.post(at(made, "/settlements"), json=given, headers=other).status_code == 403
    link = client.post(at(made, "/links"), json={}).json["href"].partition("?")[2]
    alone = app.test_client()
    del alone.environ_base["HTTP_AUTHORIZATION"]
    assert alone.post(f"{at(made, '/settlements')}?{link}", json=given).status_code in (401, 403)
    assert client.post(at(made, "/settlements"), json=given, headers=bench).status_code == 201


def test_a_value_in_place_of_a_doubt_makes_a_revision(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    (first, *_) = answers(client, made)
    given = {**first, "measured": [{"pointer": "/assemblies/0/wire", "value": demo["assemblies"][0]["wire"]}]}
    done = client.post(at(made, "/settlements"), json=given)
    assert done.status_code == 201, done.json
    assert (done.json["revision"], done.json["open"]) == (2, [])
    revised = client.get(at(done.json)).json
    assert revised["supersedes"] == made["id"]
    assert revised["assemblies"][0]["readiness"] == "ready_to_cut"
    replaced = client.get(at(made, "/events")).json["events"]
    assert [(each["type"], each["by"]) for each in replaced[1:]] == [("quote.settled", WORDS["by"]), ("quote.superseded", None)]
    assert WORDS["words"] in replaced[1]["note"]
    old = client.post(at(made, "/settlements"), json=first)
    assert (old.status_code, old.json["errors"][0]["code"]) == (409, "superseded")


def test_a_pointer_is_taken_as_faults_write_it_too(client: FlaskClient, demo: dict[str, Any]) -> None:
    """As a URI fragment (RFC 6901, 6), where what an address cannot have is coded: a fault's pointer can be sent as it came."""
    made = asking(client, demo)
    first = answers(client, made)[0]
    coded = f"#{first['pointer']}".replace("measured", "me%61sured")
    answer = client.post(at(made, "/settlements"), json={**first, "pointer": coded})
    assert (answer.status_code, answer.json["settlements"][0]["pointer"]) == (201, first["pointer"])


@pytest.mark.parametrize(
    "pointer",
    [
        "/assemblies/7/wire", "/assemblies/-1/wire", "/assemblies/00/wire", "/assemblies/1/wire", "assemblies/0/wire", "/", "/price_list",
        "/assemblies/0/tag", "/assemblies/0/quantity", "/assemblies/0/", "/assemblies/0/measurement/readings/9", "/assemblies/0/wire/size/of",
    ],
)  # fmt: skip
def test_an_answer_fills_no_place_but_its_own_assemblys(client: FlaskClient, demo: dict[str, Any], pointer: str) -> None:
    """A key that may settle may not write another quote: RFC 6901 has no negative or padded index, and the rest is not asked."""
    made = asking(client, demo)
    (first, *_) = answers(client, made)
    wrong = client.post(at(made, "/settlements"), json={**first, "measured": [{"pointer": pointer, "value": "5 mm"}]})
    assert (wrong.status_code, wrong.json["errors"][0]["code"]) == (422, "unknown_place"), wrong.json
    now = client.get(at(made)).json
    assert (now["status"], len(client.get(at(made, "/events")).json["events"])) == ("issued", 1)


def test_what_was_measured_and_cannot_be_read_says_whose_request_it_is(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    (first, *_) = answers(client, made)
    given = {**first, "measured": [{"pointer": "/assemblies/0/measurement/readings/0", "value": "31 furlong"}]}
    wrong = client.post(at(made, "/settlements"), json=given)
    assert (wrong.status_code, wrong.json["errors"][0]["pointer"]) == (422, "#/assemblies/0/measurement/readings/0")
    assert "in that request" in wrong.json["detail"]
    assert client.get(at(made, "/events")).json["events"][1:] == []


def test_a_revision_with_the_same_figures_takes_over_what_was_settled(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = settled(client, asking(client, demo))
    revised = client.post(at(made, "/revisions"), json={**one(demo, **READ), "customer": {"reference": "HULL-9"}}).json
    assert {each["carried_from"] for each in revised["settlements"]} == {made["id"]}
    assert set(revised["current_readiness"].values()) == {"ready_to_cut"}
    again = client.post(at(revised, "/revisions"), json=one(demo, **{**READ, "measured": "4.74 mm"})).json
    assert set(again["current_readiness"].values()) == {"confirm"}


def test_a_settlement_is_undone_with_a_reason_and_not_twice(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = settled(client, asking(client, demo))
    undo = at(made, f"/settlements/{made['settlements'][0]['id']}/reversal")
    assert client.post(undo, json={"by": "Jo Marsh"}).status_code == 422
    undone = client.post(undo, json={"by": "Jo Marsh", "reason": "Another boat's reel."})
    assert (undone.status_code, set(undone.json["current_readiness"].values())) == (200, {"confirm"})
    assert undone.json["settlements"][0]["undone"]["reason"] == "Another boat's reel."
    again = client.post(undo, json={"by": "Jo Marsh", "reason": "x"})
    assert (again.status_code, again.json["errors"][0]["code"]) == (409, "already_undone")
    nowhere = at(made, f"/settlements/{made['id']}/reversal")
    assert client.post(nowhere, json={"by": "Jo Marsh", "reason": "x"}).status_code == 404


def test_with_open_findings_acceptance_takes_the_customers_own_words(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = asking(client, demo)
    seen = {"If-Match": client.get(at(made)).headers["ETag"]}
    plain = client.post(at(made, "/acceptance"), json=WHO, headers=seen)
    assert (plain.status_code, plain.json["errors"][0]["code"]) == (409, "open_findings")
    bare = client.post(at(made, "/acceptance"), json={**WHO, "open": "as_listed"}, headers=seen)
    assert (bare.status_code, bare.json["errors"][0]["pointer"]) == (422, "#/understood")
    words = "I know that the shop checks the wire before it cuts."
    done = client.post(at(made, "/acceptance"), json={**WHO, "open": "as_listed", "understood": words}, headers=seen)
    assert (done.status_code, done.json["status"], done.json["accepted"]["understood"]) == (200, "accepted", words)
    plan = client.get(at(made, "/cutting-plan")).json
    assert plan["wires"] == []
    assert [each["reason"] for each in plan["left_out"]] == ["not_ready"]
    nothing = client.post(f"/v1/cutting-plans/{plan['id']}/take", json={})
    assert (nothing.status_code, nothing.json["errors"][0]["code"]) == (409, "nothing_to_cut")
    assert "Settle what is asked" in nothing.json["detail"]
    after = settled(client, made)
    assert (after["status"], set(after["current_readiness"].values())) == ("accepted", {"ready_to_cut"})


def test_a_correction_within_the_accepted_price_stays_accepted_and_a_dearer_one_is_a_revision(
    client: FlaskClient, demo: dict[str, Any]
) -> None:
    made = accepted(client, client.post("/v1/quotes", json=demo).json)
    dearer = client.post(at(made, "/corrections"), json={**demo, "delivery": "ship"})
    assert (dearer.status_code, dearer.json["errors"][0]["code"]) == (409, "costs_more")
    corrected = client.post(at(made, "/corrections"), json=one(demo))
    assert corrected.status_code == 201, corrected.json
    assert (corrected.status_code, corrected.json["status"], corrected.json["revision"]) == (201, "accepted", 2)
    assert corrected.json["accepted"] == made["accepted"]
    types = [each["type"] for each in client.get(at(corrected.json, "/events")).json["events"]]
    assert types == ["quote.issued", "quote.corrected"]
    changed = client.post(at(corrected.json, "/revisions"), json=demo)
    assert (changed.status_code, changed.json["status"]) == (201, "issued")


def test_the_way_from_quote_to_finished_wire(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=one(demo)).json
    tag, quantity = made["assemblies"][0]["tag"], made["assemblies"][0]["quantity"]
    plan = client.get(at(made, "/cutting-plan")).json
    early = client.post(f"/v1/cutting-plans/{plan['id']}/take", json={})
    assert (early.status_code, early.json["errors"][0]["code"]) == (409, "not_accepted")
    accepted(client, made)
    other = client.post("/v1/cutting-plans", json={"quotes": [made["id"]]}).json
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={"by": "the bench"}).status_code == 200
    twice = client.post(f"/v1/cutting-plans/{other['id']}/take", json={})
    assert (twice.status_code, twice.json["errors"][0]["code"]) == (409, "already_cut")
    assert client.get("/v1/stock").json["version"] == 1
    now = client.get(at(made)).json
    assert (now["status"], now["pieces_cut"]) == ("in_work", {tag: quantity})
    assert client.get(at(made, "/cutting-plan")).json["left_out"][0]["reason"] == "already_cut"
    assert client.post(f"/v1/cutting-plans/{plan['id']}/reversal", json={}).status_code == 200
    assert client.get(at(made)).json["status"] == "accepted"
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={}).status_code == 200
    length = made["assemblies"][0]["target_length"]["mm"]

    def record(by: float) -> Any:
        finished = [{"tag": tag, "piece": each, "finished_length": f"{float(length) + by:.3f} mm"} for each in range(1, quantity + 1)]
        return client.post(at(made, "/as-built"), json={"assemblies": finished}).json["verdict"]

    assert record(60) == "fail"
    assert client.get(at(made)).json["status"] == "in_work"
    assert record(0) == "pass"
    assert client.get(at(made)).json["status"] == "built"
    assert client.post(at(made, "/handover"), json={"by": "the loft", "to": "the skipper"}).json["status"] == "handed_over"
    types = [each["type"].removeprefix("quote.") for each in client.get(at(made, "/events")).json["events"]]
    assert types == [
        "issued", "accepted", "in_work", "cut_undone", "in_work", "as_built", "as_built", "built", "handed_over",
    ]  # fmt: skip
    assert client.post(at(made, "/cancellation"), json={"reason": "Too late."}).status_code == 409


@pytest.mark.parametrize("step", ["cancellation", "handover", "corrections"])
def test_what_was_not_accepted_is_neither_cancelled_corrected_nor_handed_over(client: FlaskClient, demo: dict[str, Any], step: str) -> None:
    made = client.post("/v1/quotes", json=one(demo)).json
    bodies = {"cancellation": {"reason": "The boat was sold."}, "handover": {}, "corrections": one(demo)}
    refused = client.post(at(made, f"/{step}"), json=bodies[step])
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (409, "issued")


def test_an_accepted_quote_is_cancelled_with_a_reason(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = accepted(client, client.post("/v1/quotes", json=one(demo)).json)
    assert client.post(at(made, "/cancellation"), json={}).status_code == 422
    assert client.post(at(made, "/cancellation"), json={"reason": "The boat was sold."}).json["status"] == "cancelled"
    said = client.get(at(made, "/events")).json["events"][-1]
    assert (said["type"], said["note"]) == ("quote.cancelled", "The boat was sold.")
