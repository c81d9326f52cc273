"""A quote's summary: what a front end shows, with the same figures as the whole quote in a fraction of its bytes."""

from __future__ import annotations

import json
from typing import Any

from flask.testing import FlaskClient

from service.formats.summary import ASSEMBLY, FINDING, HEAD


def test_the_summary_has_the_figures_of_the_whole_and_no_length_of_what_must_not_be_cut(client: FlaskClient, demo: dict[str, Any]) -> None:
    del demo["boat"]["length_overall"]  # so that one wire is asked about
    whole = client.post("/v1/quotes", json=demo).json
    answer = client.get(f"/v1/quotes/{whole['id']}?view=summary")
    shown = answer.json
    assert {name: shown[name] for name in HEAD} == {name: whole[name] for name in HEAD}
    assert {each["readiness"] for each in shown["assemblies"]} == {"ready_to_cut", "confirm"}
    for short, full in zip(shown["assemblies"], whole["assemblies"], strict=True):
        assert {name: short[name] for name in ASSEMBLY} == {name: full[name] for name in ASSEMBLY}
        assert short["cut_length"] == (full["cut_length"] if full["readiness"] == "ready_to_cut" else None)
        assert short["findings"] == [{name: each[name] for name in FINDING} for each in full["findings"]]
    assert len(answer.data) < 0.15 * len(json.dumps(whole))
    assert answer.headers["ETag"] != client.get(f"/v1/quotes/{whole['id']}").headers["ETag"]
    again = client.get(f"/v1/quotes/{whole['id']}?view=summary", headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code == 304


def test_a_preview_has_one_too_without_a_number(client: FlaskClient, demo: dict[str, Any]) -> None:
    shown = client.post("/v1/quotes/preview?view=summary", json=demo).json
    assert shown["status"] == "preview"
    assert not {"id", "number", "revision"} & set(shown)
    assert shown["totals"] == client.post("/v1/quotes/preview", json=demo).json["totals"]


def test_another_view_and_a_view_of_another_form_are_refused_with_what_there_is(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo).json
    odd = client.get(f"/v1/quotes/{made['id']}?view=short")
    assert (odd.status_code, odd.json["errors"][0]["code"]) == (422, "unknown_view")
    assert "whole and summary" in odd.json["errors"][0]["detail"]
    paper = client.get(f"/v1/quotes/{made['id']}?view=summary&format=html")
    assert (paper.status_code, paper.json["errors"][0]["code"]) == (422, "view_of_json_only")


WHO = {"customer": {"name": "Asta Lindqvist"}}
MINIMAL, REPRESENTATION = {"Prefer": "return=minimal"}, {"Prefer": "return=representation"}


def is_short(answer: Any) -> bool:
    """Whether a reply is a summary: the whole alone has its provenance."""
    return "provenance" not in answer.json


def test_who_prefers_little_gets_the_summary_from_each_call_that_answers_with_a_quote(client: FlaskClient, demo: dict[str, Any]) -> None:
    """RFC 7240: 4.2 says what `return` means, 3 that what was honoured may be told, 2 that a reply it changes says so in `Vary`."""
    made = client.post("/v1/quotes", json=demo, headers=MINIMAL)
    at = made.headers["Location"]
    again = client.post(f"{at}/revisions", json=demo, headers={**MINIMAL, "If-Match": made.headers["ETag"]})
    at = again.headers["Location"]
    read = client.get(at, headers=MINIMAL)
    accepted = client.post(f"{at}/acceptance", json=WHO, headers={**MINIMAL, "If-Match": again.headers["ETag"]})
    others = [client.post("/v1/quotes", json=demo).headers["Location"] for _ in range(2)]
    ended = [client.post(f"{one}/{step}", json={}, headers=MINIMAL) for one, step in zip(others, ("decline", "withdrawal"), strict=True)]
    for answer in (made, again, read, accepted, *ended, client.post("/v1/quotes/preview", json=demo, headers=MINIMAL)):
        assert is_short(answer), answer.request.path
        assert answer.headers["Preference-Applied"] == "return=minimal"
        assert "Prefer" in answer.vary
    assert [each.json["status"] for each in (made, accepted, *ended)] == ["issued", "accepted", "declined", "withdrawn"]


def test_the_whole_comes_unless_the_summary_is_preferred_and_the_address_goes_before_the_preference(
    client: FlaskClient, demo: dict[str, Any]
) -> None:
    at = "/v1/quotes/preview"
    whole = client.post(at, json=demo, headers=REPRESENTATION)
    assert (is_short(whole), whole.headers["Preference-Applied"]) == (False, "return=representation")
    for headers in ({}, {"Prefer": "return=nothing"}, {"Prefer": "returns=minimal"}, {"Prefer": 'x="return=minimal"'}):
        answer = client.post(at, json=demo, headers=headers)
        assert (is_short(answer), "Preference-Applied" in answer.headers, "Prefer" in answer.vary) == (False, False, True), headers
    for view, headers in (("summary", REPRESENTATION), ("whole", MINIMAL)):
        answer = client.post(f"{at}?view={view}", json=demo, headers=headers)
        assert (is_short(answer), "Preference-Applied" in answer.headers) == (view == "summary", False)
    for header in ("foo, return=minimal; x=y, return=representation", 'x="a,b", RETURN="minimal"'):  # the first of two counts (RFC 7240, 2)
        assert is_short(client.post(at, json=demo, headers={"Prefer": header})), header


def test_the_tag_of_what_was_made_is_the_quotes_in_either_view(client: FlaskClient, demo: dict[str, Any]) -> None:
    """RFC 9110, 15.3.2: validators in a 201 are those of what was created, which a GET of its address gets."""
    made = client.post("/v1/quotes", json=demo, headers=MINIMAL)
    at, tag = made.headers["Location"], made.headers["ETag"]
    assert client.get(at, headers={"If-None-Match": tag}).status_code == 304
    short = client.get(at, headers={**MINIMAL, "If-None-Match": tag})  # another representation has another tag
    assert (short.status_code, is_short(short)) == (200, True)
    assert client.get(at, headers={**MINIMAL, "If-None-Match": short.headers["ETag"]}).status_code == 304
    packed = client.get(at, headers={**MINIMAL, "Accept-Encoding": "gzip"}).headers["ETag"]
    assert len({tag, short.headers["ETag"], packed}) == 3
    assert {"Accept", "Accept-Encoding", "Prefer"} == {each.title() for each in short.vary}


def test_who_saw_the_summary_may_accept_what_it_shows(client: FlaskClient, demo: dict[str, Any]) -> None:
    for coding in ("identity", "gzip"):
        at = client.post("/v1/quotes", json=demo).headers["Location"]
        seen = client.get(f"{at}?view=summary", headers={"Accept-Encoding": coding}).headers["ETag"]
        odd = client.post(f"{at}/acceptance", json=WHO, headers={"If-Match": seen.replace("issued", "declined")})
        assert odd.status_code == 412
        assert client.post(f"{at}/acceptance", json=WHO, headers={"If-Match": seen}).status_code == 200


def test_a_repetition_gets_what_the_first_got_whatever_it_prefers_and_no_other_view(client: FlaskClient, demo: dict[str, Any]) -> None:
    """draft-ietf-httpapi-idempotency-key-header-07, 2.6: a repeated request gets the result of the first. A preference may go unheard
    (RFC 7240, 2), a parameter may not.
    """
    first = client.post("/v1/quotes", json=demo, headers={**MINIMAL, "Idempotency-Key": "k-1"})
    again = client.post("/v1/quotes", json=demo, headers={**REPRESENTATION, "Idempotency-Key": "k-1"})
    assert (again.status_code, again.data) == (201, first.data)
    assert (again.headers["Preference-Applied"], "Prefer" in again.vary) == ("return=minimal", True)
    other = client.post("/v1/quotes?view=whole", json=demo, headers={"Idempotency-Key": "k-1"})
    assert (other.status_code, other.json["errors"][0]["code"]) == (422, "key_of_another_request")


def test_a_wish_for_little_and_one_not_to_wait_are_read_from_one_header(client: FlaskClient, demo: dict[str, Any]) -> None:
    later = client.post("/v1/quotes", json=demo, headers={"Prefer": "respond-async, return=minimal"})
    assert (later.status_code, later.headers["Preference-Applied"]) == (202, "respond-async")
    at = client.post("/v1/quotes", json=demo).headers["Location"]
    page = client.get(f"{at}?format=html", headers=MINIMAL)  # a preference is never refused
    assert (page.status_code, page.mimetype, "Preference-Applied" in page.headers) == (200, "text/html", False)


def test_nothing_is_stored_or_done_for_a_view_that_does_not_exist(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo)
    at = made.headers["Location"]
    bodies = {"revisions": demo, "acceptance": WHO, "decline": {}, "withdrawal": {}}
    for step, body in bodies.items():
        answer = client.post(f"{at}/{step}?view=short", json=body, headers={"If-Match": made.headers["ETag"]})
        assert (answer.status_code, answer.json["errors"][0]["code"]) == (422, "unknown_view"), step
    assert client.post("/v1/quotes?view=short", json=demo).status_code == 422
    assert len(client.get("/v1/quotes").json["quotes"]) == 1
    assert client.get(at).json["status"] == "issued"
