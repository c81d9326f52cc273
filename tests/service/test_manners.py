"""Headers of every response: ids, browser policies, access from other origins, and deprecation."""

from __future__ import annotations

import gzip
import logging
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from service.auth.headers import ENDINGS, Ending
from service.credentials.keys import Kind, Scope
from service.encoding.gzip import DAMAGED, pack, pack_object, put_before, unpack, unpack_behind
from service.observability import log
from service.storage import Quotes
from tests.service.conftest import KEY
from tests.service.holders import OTHER_PAGE, PAGE, bearing, kept_key
from tests.service.test_access import bare


def test_a_request_keeps_the_id_it_came_with_or_gets_one(client: FlaskClient) -> None:
    assert client.get("/livez", headers={"X-Request-Id": "web-7:abc._1"}).headers["X-Request-Id"] == "web-7:abc._1"
    made = {client.get("/nothing", headers={"X-Request-Id": wrong}).headers["X-Request-Id"] for wrong in ("", "a b", "x" * 101, "é", "<b>")}
    assert len(made) == 5
    assert all(len(each) == 36 for each in made)


def test_what_is_logged_names_the_request(client: FlaskClient, app: Flask, caplog: pytest.LogCaptureFixture) -> None:
    app.view_functions["operation.alive"] = lambda: 1 / 0
    caplog.handler.addFilter(log._add_request_id)
    with caplog.at_level(logging.ERROR, "service"):
        assert client.get("/livez", headers={"X-Request-Id": "odd-one"}).status_code == 500
    caplog.handler.removeFilter(log._add_request_id)
    assert [each.request_id for each in caplog.records if each.exc_info] == ["odd-one"]


def test_every_reply_forbids_what_a_browser_should_not_do(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo)
    at = made.headers["Location"]
    personal = [made, client.get("/v1/quotes"), client.get(at), client.get(f"{at}/events"), client.get(f"{at}/cutting-plan?format=svg")]
    others = [client.get("/livez"), client.get("/nothing"), client.get("/v1/catalogue"), client.put("/v1/quotes")]
    for answer in (*personal, *others):
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
        assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert {answer.headers["Cache-Control"] for answer in personal} == {"no-store"}
    assert "style-src 'unsafe-inline'" in personal[-1].headers["Content-Security-Policy"]
    assert client.get("/v1/catalogue").headers["Cache-Control"] == "private, no-cache"


def test_a_preflight_is_answered_for_the_origins_of_the_keys_alone(app: Flask, quotes: Quotes) -> None:
    kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE])
    asking = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization, idempotency-key"}
    answer = bare(app).options("/v1/quotes", headers={**asking, "Origin": PAGE})
    assert (answer.status_code, answer.data) == (204, b"")
    assert answer.headers["Access-Control-Allow-Origin"] == PAGE
    assert "POST" in answer.headers["Access-Control-Allow-Methods"].split(", ")
    allowed = answer.headers["Access-Control-Allow-Headers"].lower().split(", ")
    assert {"authorization", "content-type", "idempotency-key", "if-match"} <= set(allowed)
    assert "Origin" in answer.headers["Vary"]
    assert "Access-Control-Allow-Credentials" not in answer.headers
    for origin in (OTHER_PAGE, "null", PAGE + ".evil.example", PAGE.replace("https", "http")):
        refused = bare(app).options("/v1/quotes", headers={**asking, "Origin": origin})
        assert not [name for name in refused.headers.keys() if name.startswith("Access-Control")], origin  # noqa: SIM118
    assert bare(app).options("/nothing", headers={**asking, "Origin": PAGE}).status_code == 404


def test_a_page_reads_replies_and_refusals_of_its_own_key(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    kept_key(quotes, Kind.PUBLISHABLE, origins=[OTHER_PAGE])
    secret = bearing(kept_key(quotes, scopes=[Scope.READ]), Origin=PAGE)
    client = bare(app)
    made = client.post("/v1/quotes", json=demo, headers=page)
    assert made.headers["Access-Control-Allow-Origin"] == PAGE
    shown = set(made.headers["Access-Control-Expose-Headers"].split(", "))
    assert {"ETag", "Location", "RateLimit", "RateLimit-Policy", "Retry-After", "X-Request-Id"} <= shown
    assert client.post("/v1/quotes", json={}, headers=page).headers["Access-Control-Allow-Origin"] == PAGE
    assert client.get("/v1/quotes", headers=page).headers["Access-Control-Allow-Origin"] == PAGE
    assert client.get("/v1/quotes", headers={"Origin": PAGE}).headers["Access-Control-Allow-Origin"] == PAGE
    assert "Access-Control-Allow-Origin" not in client.get("/v1/quotes", headers=secret).headers


def test_an_address_on_its_way_out_says_so(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    assert ENDINGS == {}
    ending = Ending(datetime(2026, 12, 1, tzinfo=UTC), datetime(2027, 6, 1, 12, 0, tzinfo=UTC), "/openapi.yaml")
    monkeypatch.setitem(ENDINGS, "operation.alive", ending)
    headers = client.get("/livez").headers
    assert headers["Deprecation"] == "@1796083200"  # RFC 9745, 2.1: a date of RFC 9651; `date -u -d 2026-12-01 +%s`
    assert headers["Sunset"] == "Tue, 01 Jun 2027 12:00:00 GMT"  # RFC 8594, 3
    assert headers["Link"] == '</openapi.yaml>; rel="deprecation"'
    assert "Deprecation" not in client.get("/readyz").headers


def test_a_stored_quote_is_served_as_gzip_to_who_takes_it_with_a_tag_of_its_own(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = client.post("/v1/quotes", json=demo).headers["Location"]
    plain, coded = client.get(at), client.get(at, headers={"Accept-Encoding": "br, gzip;q=0.8"})
    assert ("Content-Encoding" in plain.headers, coded.headers["Content-Encoding"]) == (False, "gzip")
    assert gzip.decompress(coded.data) == plain.data
    unpacked = zlib.decompressobj(31)
    assert unpacked.decompress(coded.data) == plain.data
    assert (unpacked.eof, unpacked.unused_data) == (True, b"")  # one member: clients that stop after the first lose nothing
    assert plain.headers["ETag"] != coded.headers["ETag"]
    assert plain.headers["Vary"] == coded.headers["Vary"] == "Accept, Accept-Encoding, Prefer"
    for answer, accepted in ((plain, "identity"), (coded, "gzip")):
        again = client.get(at, headers={"Accept-Encoding": accepted, "If-None-Match": answer.headers["ETag"]})
        assert (again.status_code, again.headers["ETag"], again.headers["Vary"]) == (
            304,
            answer.headers["ETag"],
            "Accept, Accept-Encoding, Prefer",
        )
    for accepted in ("gzip;q=0", "identity, gzip;q=0.5", "br", ""):
        assert "Content-Encoding" not in client.get(at, headers={"Accept-Encoding": accepted}).headers, accepted
    assert client.head(at, headers={"Accept-Encoding": "gzip"}).headers["Content-Length"] == str(len(coded.data))


@pytest.mark.parametrize("size", [0, 1, 100, 65_536, 300_000])
def test_what_is_packed_is_gzip_for_any_reader_and_the_same_each_time(size: int) -> None:
    content = (b'"\xc3\x85":' + KEY.encode() + b"\0") * (size // 20) + b"x" * (size % 20)
    assert gzip.decompress(pack(content)) == content  # by another library, which checks its CRC and length
    assert unpack(gzip.compress(content)) == content  # as databases of before have it
    assert pack(content) == pack(content)


@pytest.mark.parametrize("beginning", [b"{", b'{"id":"x",', b'{"standing":"' + "Å".encode() * 40_000 + b'",'])
def test_an_object_gets_another_beginning_without_being_unpacked(beginning: bytes) -> None:
    said = b'{"a":' + b'"' + KEY.encode() * 9_000 + b'"}'
    whole = put_before(beginning, pack_object(said))
    assert whole is not None
    assert unpack(pack_object(said)) == said
    assert gzip.decompress(whole) == unpack(whole) == beginning + said[1:]  # the checksum is that of all of it
    one = zlib.decompressobj(wbits=31)
    assert (one.decompress(whole), one.eof, one.unused_data) == (beginning + said[1:], True, b"")  # one part: many clients read no more
    assert put_before(beginning, pack(said)) is None  # as databases of before have it


def test_quotes_of_before_and_of_now_are_served_alike(client: FlaskClient, quotes: Quotes, demo: dict[str, Any]) -> None:
    at = client.post("/v1/quotes", json=demo).headers["Location"]
    plain, coded = client.get(at), client.get(at, headers={"Accept-Encoding": "gzip"})
    assert gzip.decompress(coded.data) == plain.data
    with quotes.writing() as connection:
        packed = connection.execute(text("SELECT document FROM quotes")).scalar_one()
        connection.execute(text("UPDATE quotes SET document = :as_before"), {"as_before": pack(unpack(packed))})
    before = client.get(at, headers={"Accept-Encoding": "gzip"})
    assert (gzip.decompress(before.data), before.headers["ETag"]) == (plain.data, coded.headers["ETag"])


@pytest.mark.parametrize("damage", [lambda packed: packed[:-9], lambda packed: packed[:-8] + bytes(8), lambda packed: b"no gzip"])
def test_what_is_damaged_is_never_read_as_something_else(damage: Callable[[bytes], bytes]) -> None:
    with pytest.raises((gzip.BadGzipFile, EOFError)):
        unpack(damage(pack(b'{"payable": "12.50"}' * 100)))
    with pytest.raises(DAMAGED):
        unpack_behind(damage(pack_object(b'{"payable": "12.50"}' * 100)))


def test_a_content_behind_its_first_byte_is_the_same_from_any_packer() -> None:
    said = b'{"a":"' + b"x" * 200_000 + b'"}'
    assert unpack_behind(pack_object(said)) == unpack_behind(pack(said)) == unpack_behind(gzip.compress(said)) == said[1:]
