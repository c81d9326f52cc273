"""The examples of openapi.yaml work: every request that is shown is sent in the order of a quote's life, is taken, and is answered as the contract says."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.catalogue import DEMO_FOLDER
from service.engine.catalogues import files_of
from service.storage import Editions
from tests.service.conftest import DAY
from tests.service.contract import contract, judge, resolved
from tests.service.steps import settled

Json = dict[str, Any]
SENT = "application/json"
ROOM = "/v1/quotes/{id}"


def example(path: str, media: str = SENT) -> Any:
    """What the contract shows to be sent."""
    return resolved(contract()["paths"][path]["post"]["requestBody"])["content"][media]["example"]


def issued(client: FlaskClient) -> Json:
    """A quote of the example, and no other."""
    return sent(client, "/v1/quotes")


def accepted(client: FlaskClient) -> Json:
    """The same, settled and accepted by the example."""
    made = settled(client, issued(client))
    return on(client, made, "/acceptance")


def cut(client: FlaskClient) -> Json:
    """The same, with its wire taken from the shelf."""
    made = accepted(client)
    plan = client.post("/v1/cutting-plans", json={"quotes": [made["id"]]}).json
    sent(client, "/v1/cutting-plans/{id}/take", plan)
    return made


def built(client: FlaskClient) -> Json:
    """The same, with what was measured on the finished wire."""
    made = cut(client)
    on(client, made, "/as-built")
    return made


def sent(client: FlaskClient, path: str, of: Json | None = None, **names: str) -> Json:
    """Send an address's example; its answer, which the client holds to the contract."""
    at = path.format(id=of["id"] if of else "", **names)
    given = {"If-Match": client.get(at.rpartition("/")[0]).headers["ETag"]} if path.endswith("acceptance") else {}
    answer = client.post(at, json=example(path), headers=given)
    assert answer.status_code in (200, 201, 202), (path, answer.text)
    found: Json = answer.json
    return found


def on(client: FlaskClient, quote: Json, step: str, **names: str) -> Json:
    """Send the example of what is done to a quote."""
    return sent(client, ROOM + step, quote, **names)


def undo_answer(client: FlaskClient) -> Json:
    made = issued(client)
    answered = on(client, made, "/settlements")["settlements"][0]["id"]
    return on(client, made, "/settlements/{settlement}/reversal", settlement=answered)


def answer_question(client: FlaskClient) -> Json:
    made = issued(client)
    asked = on(client, made, "/questions")
    return on(client, made, "/questions/{question}/answer", question=asked["questions"][-1]["id"])


def end_links(client: FlaskClient) -> Json:
    made = issued(client)
    on(client, made, "/links")
    return on(client, made, "/links/end")


def put_back(client: FlaskClient) -> Json:
    plan = sent(client, "/v1/cutting-plans")
    taken = sent(client, "/v1/cutting-plans/{id}/take", plan)
    assert taken
    return sent(client, "/v1/cutting-plans/{id}/reversal", plan)


def draft(client: FlaskClient) -> Json:
    """The tables of the example, beside the others as they are in force here."""
    here = client.application.extensions
    current = here["catalogues"].current().key
    Editions(here["quotes"]).put_in_force(current, files_of(DEMO_FOLDER), DAY)
    return taken(client, "/v1/tables", "/v1/tables", base=current.id)


def of_draft(client: FlaskClient, step: str, **ours: str) -> Json:
    """Send the example of what is done to tables; `ours` are members that the draft's answer has the value of."""
    made = draft(client)
    return taken(
        client, f"/v1/tables/{made['edition']['id']}/{step}", f"/v1/tables/{{edition}}/{step}", **{to: made[of] for to, of in ours.items()}
    )


def taken(client: FlaskClient, at: str, path: str, **here: Any) -> Json:
    """Send an example with what only this server can know."""
    answer = client.post(at, json={**example(path), **here})
    assert answer.status_code in (200, 201), (path, answer.text)
    found: Json = answer.json
    return found


WAYS: dict[str, Callable[[FlaskClient], Any]] = {
    "/v1/quotes": issued,
    "/v1/quotes/preview": lambda client: sent(client, "/v1/quotes/preview"),
    ROOM + "/revisions": lambda client: on(client, issued(client), "/revisions"),
    ROOM + "/acceptance": accepted,
    ROOM + "/decline": lambda client: on(client, issued(client), "/decline"),
    ROOM + "/withdrawal": lambda client: on(client, issued(client), "/withdrawal"),
    ROOM + "/corrections": lambda client: on(client, accepted(client), "/corrections"),
    ROOM + "/cancellation": lambda client: on(client, accepted(client), "/cancellation"),
    ROOM + "/handover": lambda client: on(client, built(client), "/handover"),
    ROOM + "/settlements": lambda client: on(client, issued(client), "/settlements"),
    ROOM + "/settlements/{settlement}/reversal": undo_answer,
    ROOM + "/as-built": built,
    ROOM + "/links": lambda client: on(client, issued(client), "/links"),
    ROOM + "/links/end": end_links,
    ROOM + "/questions": lambda client: on(client, issued(client), "/questions"),
    ROOM + "/questions/{question}/answer": answer_question,
    "/v1/lengths": lambda client: sent(client, "/v1/lengths"),
    "/v1/drawings": lambda client: sent(client, "/v1/drawings"),
    "/v1/cutting-plans": lambda client: sent(client, "/v1/cutting-plans"),
    "/v1/cutting-plans/{id}/take": cut,
    "/v1/stock/counts": lambda client: sent(client, "/v1/stock/counts"),
    "/v1/cutting-plans/{id}/reversal": put_back,
    "/v1/batches": lambda client: sent(client, "/v1/batches"),
    "/v1/tables": draft,
    "/v1/tables/{edition}/effect": lambda client: of_draft(client, "effect"),
    "/v1/tables/{edition}/in-force": lambda client: of_draft(client, "in-force", seen="last_change"),
}


def test_every_request_in_json_has_an_example_that_is_sent() -> None:
    takes = {
        path
        for path, item in contract()["paths"].items()
        if "post" in item and SENT in resolved(item["post"]["requestBody"]).get("content", {})
    }
    assert takes == set(WAYS)


@pytest.mark.parametrize("path", WAYS)
def test_the_example_of_a_request_is_taken(client: FlaskClient, path: str) -> None:
    assert WAYS[path](client)


# Answers that fill pages, and those that another address shows: a plan, a batch, a request for a quote.
LONG = {"readBenchSheet", "listFindings", "describeForm", "readCatalogue"}
ELSEWHERE = {"readCuttingPlanOfQuote", "readCuttingPlan", "readBatchSummary", "listDemoRequests", "readDemoRequest"}


def test_every_resource_shows_an_answer_and_what_is_shown_is_one() -> None:
    without = set()
    for path, item in contract()["paths"].items():
        for method, operation in item.items():
            for status, response in operation["responses"].items():
                for media, content in resolved(response).get("content", {}).items():
                    if "example" in content:
                        assert judge(json.dumps(content["schema"])).complaints(content["example"]) == [], (path, method, status)
                    elif (method, status, media) == ("get", "200", SENT) and path.startswith("/v1/"):
                        without.add(operation["operationId"])
    assert without == LONG | ELSEWHERE


@pytest.mark.parametrize("step", ["settlements", "events", "as-built", "?view=summary"])
def test_what_is_shown_of_a_quote_has_the_members_of_the_real_answer(client: FlaskClient, step: str) -> None:
    made = built(client)
    shown = contract()["paths"][ROOM if step[0] == "?" else f"{ROOM}/{step}"]["get"]["responses"]["200"]["content"][SENT]["example"]
    at = f"/v1/quotes/{made['id']}"
    assert members(client.get(at + step if step[0] == "?" else f"{at}/{step}").json) == members(shown)


def members(value: Any) -> Any:
    """The names in a value, at every depth; of a list those of its first."""
    if isinstance(value, dict):
        return {name: members(each) for name, each in value.items()}
    return [members(each) for each in value[:1]] if isinstance(value, list) else None
