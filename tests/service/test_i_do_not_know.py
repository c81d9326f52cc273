"""An owner who does not know: asked where length and price do not depend on it, else held until the shop says what it is.

The wire is README's cap shroud, whose cut length tests/examples works by hand: 8886.2 mm, whoever says at last what was not known.
"""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.web_form.answering import request_of, shown
from service.web_form.shop import EXAMPLE
from tests.service.steps import WORDS, settled

CUT = "8886.2"
WHO = {"boat.length_overall": "27 ft 6 in", "customer.name": "Asta Lindqvist", "customer.email": "asta@example.org"}
CAP = {**EXAMPLE, "laid": "else", "measurement.support": "flat", "measurement.temperature": "64 degF"}
#: What is answered in place of knowing, where the quote holds for it, and what the shop says at last, by the place in the assembly.
HELD: list[tuple[dict[str, Any], tuple[str, str], dict[str, str]]] = [
    ({"wire_kind": "unknown"}, ("no-such-wire", "/wire/construction"), {"/wire/construction": "1x19", "/wire/material": "316"}),
    ({"wire.diameter": "unknown"}, ("no-such-wire", "/wire"), {"/wire/diameter": "3/16 in"}),
    ({"lower.screw": "unknown"}, ("thread-missing", "/lower/terminal"), {"/lower/thread": "3/8-24 UNF", "/lower/hand": "right", "/turnbuckle/hand": "right"}),
]  # fmt: skip


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.fixture
def form(client: FlaskClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get("/v1/form?lang=en").json
    return found


def asked(form: dict[str, Any], **unknown: Any) -> dict[str, Any]:
    """The request of the cap shroud with these answers instead; nothing that the form wants is missing."""
    answers = {**CAP, "turnbuckle.lower_end": "toggle", "turnbuckle.pin": "3/8 in", **unknown}
    assert [each.path for each in shown(form, "assembly", answers) if each.missing] == []
    return request_of(form, WHO, [answers])


def stops(assembly: dict[str, Any]) -> list[tuple[str, str]]:
    return [(each["code"], each["pointer"].removeprefix("/assemblies/0")) for each in assembly["findings"] if each["severity"] == "stop"]


@pytest.mark.parametrize(("unknown", "stop", "values"), HELD, ids=[next(iter(each)) for each, _, _ in HELD])
def test_what_the_price_depends_on_holds_until_the_shop_says_it(
    client: FlaskClient, form: dict[str, Any], unknown: dict[str, Any], stop: tuple[str, str], values: dict[str, str]
) -> None:
    made = client.post("/v1/quotes", json=asked(form, **unknown)).json
    (held,) = made["assemblies"]
    assert (held["readiness"], held["cut_length"], stops(held)) == ("hold", None, [stop])
    assert made["totals"]["payable"] is None
    at = f"/v1/quotes/{made['id']}/settlements"
    answer = {"tag": "CAP-P", "code": stop[0], "pointer": f"/assemblies/0{stop[1]}", **WORDS}
    alone = client.post(at, json=answer)
    assert (alone.status_code, alone.json["errors"][0]["code"]) == (422, "not_settled_by_words")
    said = {**answer, "measured": [{"pointer": f"/assemblies/0{place}", "value": value} for place, value in values.items()]}
    done = client.post(at, json=said)
    assert (done.status_code, done.json["revision"]) == (201, 2), done.json
    revised = client.get(f"/v1/quotes/{done.json['id']}").json
    assert revised["supersedes"] == made["id"]
    assert stops(revised["assemblies"][0]) == []
    assert revised["assemblies"][0]["cut_length"]["mm"] == CUT
    assert revised["totals"]["payable"] == client.post("/v1/quotes/preview", json=asked(form)).json["totals"]["payable"]
    (event,) = [each for each in client.get(f"/v1/quotes/{made['id']}/events").json["events"] if each["type"] == "quote.settled"]
    assert (event["by"], WORDS["words"] in event["note"]) == (WORDS["by"], True)


def test_the_hand_of_a_kept_turnbuckle_is_asked_and_changes_neither_length_nor_price(client: FlaskClient, form: dict[str, Any]) -> None:
    unknown = asked(form, **{"lower.screw": "hand unknown", "lower.thread": "3/8-24 UNF"})
    assert "hand" not in unknown["assemblies"][0]["lower"]
    assert "hand" not in unknown["assemblies"][0]["turnbuckle"]
    made = client.post("/v1/quotes", json=unknown).json
    (asking,) = made["assemblies"]
    codes = [each["code"] for each in asking["findings"] if each["severity"] == "ask"]
    assert (asking["readiness"], codes, asking["cut_length"]["mm"]) == ("confirm", ["hand-of-kept-turnbuckle"], CUT)
    assert made["totals"]["payable"] == client.post("/v1/quotes/preview", json=asked(form)).json["totals"]["payable"]
    assert settled(client, made)["current_readiness"] == {"CAP-P": "ready_to_cut"}


def test_a_pin_by_caliper_is_named_by_the_shop(client: FlaskClient, form: dict[str, Any]) -> None:
    """9.5 mm is 3/8 in (9.525 mm) to the tenth that a caliper shows; the next pins are 5/16 in (7.94 mm) and 7/16 in (11.11 mm)."""
    stay = {
        "place": "forestay centre", "unusual": "no", "turnbuckle_is": "none", "wire_kind": "1x19 | 316", "wire.diameter": "3/16 in", "upper.terminal": "fork", "upper.attachment": "swage",
        "upper.pin": "measured", "upper.measured_pin": "9.5 mm", "lower.terminal": "fork", "lower.attachment": "swage", "lower.pin": "3/8 in",
        "measured_from": "bearings", "measurement.readings": ["9.5 m", "9.5 m"], "laid": "flat",
    }  # fmt: skip
    assert [each.path for each in shown(form, "assembly", stay) if each.missing] == []
    request = request_of(form, WHO, [stay])
    assert (request["assemblies"][0]["upper"].get("pin"), request["assemblies"][0]["upper"]["measured_pin"]) == (None, "9.5 mm")
    made, same = (
        client.post("/v1/quotes/preview", json=each).json["assemblies"][0]
        for each in (request, request_of(form, WHO, [{**stay, "upper.pin": "3/8 in", "upper.measured_pin": None}]))
    )
    assert made["cut_length"] == same["cut_length"]
    assert [each["code"] for each in made["findings"] if each["severity"] == "stop"] == []


def test_every_size_is_shown_in_both_units(form: dict[str, Any]) -> None:
    """25.4 mm to the inch: 3/16 in is 4.7625 mm, 5 mm is 0.19685 in."""
    assert (form["sizes"]["3/16 in"], form["sizes"]["5 mm"]) == ("3/16 in (4.8 mm)", "5 mm (0.197 in)")
