"""Making, previewing, reading and listing quotes, over the real engine."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.storage import Quotes

#: What stands beside the status and changes while the quote does not.
STANDING = ["settlements", "current_readiness", "pieces_cut", "accepted", "questions"]


def post(client: FlaskClient, body: Any, path: str = "/v1/quotes") -> Any:
    """Post a value as JSON."""
    return client.post(path, data=json.dumps(body), content_type="application/json")


def test_a_posted_quote_is_numbered_stored_and_found_at_its_location(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = post(client, demo)
    assert made.status_code == 201
    assert made.json["number"] == "Q-2026-000001"
    assert (made.json["revision"], made.json["status"]) == (1, "issued")
    read = client.get(made.headers["Location"])
    assert read.data == made.data
    assert read.headers["ETag"] == made.headers["ETag"]


def test_the_reply_keeps_the_order_of_the_contract(client: FlaskClient, demo: dict[str, Any]) -> None:
    names = list(post(client, demo).json)
    assert names[:5] == ["id", "number", "revision", "status", "checksum"]
    assert names[5:11] == [*STANDING, "binding"]
    assert names[-1] == "provenance"


def test_the_checksum_is_of_the_canonical_form_without_itself_and_what_changes_after_the_issue(
    client: FlaskClient, demo: dict[str, Any]
) -> None:
    quote = post(client, demo).json
    said = {name: value for name, value in quote.items() if name not in ("status", "checksum", *STANDING)}
    # RFC 8785 for text, whole numbers, true, false and null: sorted names, no spaces, only the escapes that JSON needs
    canonical = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    assert quote["checksum"] == f"sha256:{hashlib.sha256(canonical).hexdigest()}"


def test_a_preview_says_the_same_without_a_number_and_stores_nothing(client: FlaskClient, demo: dict[str, Any]) -> None:
    preview, made = post(client, demo, "/v1/quotes/preview").json, post(client, demo).json
    assert preview.pop("status") == "preview"
    assert made["current_readiness"] == {each["tag"]: each["readiness"] for each in made["assemblies"]}
    assert [made[name] for name in ("settlements", "pieces_cut", "accepted")] == [[], {}, None]
    for name in ("id", "number", "revision", "status", "checksum", *STANDING):
        del made[name]
    assert preview == made
    assert len(client.get("/v1/quotes").json["quotes"]) == 1


def test_a_client_that_has_the_quote_gets_304(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = post(client, demo)
    again = client.get(made.headers["Location"], headers={"If-None-Match": made.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["ETag"] == made.headers["ETag"]
    assert client.get(made.headers["Location"], headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize(
    ("written", "status"),
    [
        ("*", 304), ('W/"{tag}"', 304), ('"other" , "{tag}"', 304), (', "{tag}",', 304),  # RFC 9110: 13.1.2, 8.8.3.2, 5.6.1
        ("{tag}", 200), ('"other", {tag}', 200), ('"{tag}" or', 200), ('"{tag}', 200), ("", 200), ('"*"', 200), ('w/"{tag}"', 200),
    ],
)  # fmt: skip
def test_what_is_no_list_of_entity_tags_gets_the_whole_quote_and_accepts_nothing(
    client: FlaskClient, demo: dict[str, Any], written: str, status: int
) -> None:
    """RFC 9110, 13.1.2, says of no malformed `If-None-Match` that it matches: the condition is true, and GET is carried out."""
    made = post(client, demo)
    header = written.format(tag=made.headers["ETag"].strip('"'))
    assert client.get(made.headers["Location"], headers={"If-None-Match": header}).status_code == status
    accepted = client.post(
        f"{made.headers['Location']}/acceptance", json={"customer": {"name": "Jo Marsh"}, "open": "as_listed", "understood": "All of it."},
        headers={"If-Match": header},
    )  # fmt: skip
    strong = status == 304 and not written.startswith("W/")  # If-Match compares strongly: 13.1.1
    assert accepted.status_code in ((200,) if strong else (400, 412, 428))


def test_the_body_as_received_is_kept(client: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    import gzip

    from sqlalchemy import text

    body = json.dumps(demo, indent=3).encode()
    client.post("/v1/quotes", data=body, content_type="application/json")
    with quotes.engine().connect() as connection:
        assert gzip.decompress(connection.execute(text("SELECT request FROM quotes")).scalar_one()) == body


def test_an_unknown_id_and_a_malformed_one_are_404(client: FlaskClient) -> None:
    for quote_id in ("01a21211-138e-7ff9-814a-1ce6de70983e", "42", "%00", "Q-2026-000001", "x" * 3000):
        answer = client.get(f"/v1/quotes/{quote_id}")
        assert answer.status_code == 404
        assert answer.mimetype == "application/problem+json"


def test_the_list_is_walked_by_cursor_newest_first_without_a_quote_lost_or_doubled(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    made = [post(client, demo).json["id"] for _ in range(7)]
    seen: list[str] = []
    path = "/v1/quotes?limit=3"
    while path:
        page = client.get(path)
        seen += [each["id"] for each in page.json["quotes"]]
        if page.json["next"]:
            post(client, demo)  # made meanwhile: moves nothing
            assert page.headers["Link"] == f'</v1/quotes?limit=3&cursor={page.json["next"]}>; rel="next"'
        path = f"/v1/quotes?limit=3&cursor={page.json['next']}" if page.json["next"] else ""
    assert sorted(seen, reverse=True) == seen
    assert sorted(seen) == sorted(made)


def test_wrong_parameters_of_the_list_are_named_all_at_once(client: FlaskClient) -> None:
    answer = client.get("/v1/quotes?limit=101&cursor=%00&page=2")
    assert answer.status_code == 422
    assert sorted(each["parameter"] for each in answer.json["errors"]) == ["cursor", "limit", "page"]
    for limit in ("0", "-1", "1.5", "", "ten", "9" * 500, "\u0661"):
        assert client.get("/v1/quotes", query_string={"limit": limit}).status_code == 422


def test_an_assembly_that_cannot_be_built_is_a_quote_on_hold_and_not_priced(client: FlaskClient, demo: dict[str, Any]) -> None:
    demo["assemblies"] = demo["assemblies"][:1]
    demo["assemblies"][0]["turnbuckle"].pop("setting")
    demo["assemblies"][0]["measurement"]["includes_turnbuckle"] = True
    made = post(client, demo)
    assert made.status_code == 201
    (assembly,) = made.json["assemblies"]
    assert assembly["readiness"] == "hold"
    assert assembly["cut_length"] is None
    assert made.json["totals"]["payable"] is None
    assert made.json["left_out"] == [assembly["tag"]]
    assert "stop" in {each["severity"] for each in assembly["findings"]}
