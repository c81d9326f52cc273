"""Replies compressed for who takes gzip: the same bytes unpacked, small ones as they are, and none that holds a secret."""

from __future__ import annotations

import gzip
import zlib
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.credentials.keys import Kind
from service.http.compression import SMALL
from service.storage import Quotes
from tests.service.holders import PAGE, bearing, kept_key
from tests.service.plain_form import Page
from tests.service.test_access import bare

GZIP, PLAIN = {"Accept-Encoding": "gzip, deflate, br"}, {"Accept-Encoding": "identity"}


def coding(answer: Any) -> str | None:
    assert "Accept-Encoding" in answer.vary, answer.request.path
    found: str | None = answer.headers.get("Content-Encoding")
    assert answer.headers["Content-Length"] == str(len(answer.data))
    return found


@pytest.mark.parametrize("view", ["whole", "summary"])
def test_a_preview_is_the_same_unpacked_in_a_fraction_of_the_bytes(client: FlaskClient, demo: dict[str, Any], view: str) -> None:
    at = f"/v1/quotes/preview?view={view}"
    plain, packed = (client.post(at, json=demo, headers=headers) for headers in (PLAIN, GZIP))
    assert (coding(plain), coding(packed)) == (None, "gzip")
    unpacked = zlib.decompressobj(31)
    assert unpacked.decompress(packed.data) == plain.data
    assert (unpacked.eof, unpacked.unused_data) == (True, b"")
    assert len(packed.data) < len(plain.data) / 4


@pytest.mark.parametrize(
    ("accepted", "packs"),
    [
        ("gzip", True),
        ("br, gzip;q=0.5", True),
        ("*", True),
        ("gzip;q=0", False),
        ("br", False),
        ("identity, gzip;q=0.5", False),
        ("", False),
    ],
)
def test_what_is_accepted_decides(client: FlaskClient, demo: dict[str, Any], accepted: str, packs: bool) -> None:
    """RFC 9110, 12.5.3: a weight of 0 refuses a coding, the greatest is preferred, an empty field wants none."""
    answer = client.post("/v1/quotes/preview", json=demo, headers={"Accept-Encoding": accepted})
    assert coding(answer) == ("gzip" if packs else None)


def test_each_reply_with_a_quote_is_compressed_and_keeps_the_tag_of_its_state(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo, headers={**GZIP, "Idempotency-Key": "k-1"})
    again = client.post("/v1/quotes", json=demo, headers={**PLAIN, "Idempotency-Key": "k-1"})
    assert (coding(made), coding(again)) == ("gzip", None)  # the coding is of the reply, what was kept is the same
    assert gzip.decompress(made.data) == again.data
    at, seen = made.headers["Location"], {"If-Match": made.headers["ETag"]}
    assert client.get(at, headers={"If-None-Match": made.headers["ETag"]}).status_code == 304
    revised = client.post(f"{at}/revisions", json=demo, headers={**GZIP, **seen})
    seen = {"If-Match": revised.headers["ETag"]}
    accepted = client.post(
        f"{revised.headers['Location']}/acceptance", json={"customer": {"name": "Asta Lindqvist"}}, headers={**GZIP, **seen}
    )
    assert (coding(revised), coding(accepted)) == ("gzip", "gzip")


def test_a_small_reply_and_a_refusal_come_as_they_are(client: FlaskClient, demo: dict[str, Any]) -> None:
    few, many = (client.post("/v1/lengths", json={"lengths": ["31 ft 4 5/16 in"] * count}, headers=GZIP) for count in (1, 100))
    assert len(few.data) < SMALL < len(gzip.decompress(many.data))
    assert (coding(few), coding(many)) == (None, "gzip")
    for each in demo["assemblies"]:
        each["upper"] = {}
    refused = client.post("/v1/quotes/preview", json=demo, headers=GZIP)
    assert (refused.status_code, "Content-Encoding" in refused.headers, len(refused.data) > SMALL) == (422, False, True)


def test_the_forms_description_and_pages_are_compressed(client: FlaskClient, served: Flask) -> None:
    plain, packed = (client.get("/v1/form", headers=headers) for headers in (PLAIN, GZIP))
    assert (coding(plain), coding(packed)) == (None, "gzip")
    assert gzip.decompress(packed.data) == plain.data
    assert plain.headers["ETag"] != packed.headers["ETag"]
    for each, headers in ((plain, PLAIN), (packed, GZIP)):
        assert client.get("/v1/form", headers={**headers, "If-None-Match": each.headers["ETag"]}).status_code == 304
    assert client.get("/v1/form?lang=de", headers=GZIP).data != packed.data
    visitor = served.test_client()
    page = visitor.get("/form", headers=GZIP)
    assert coding(page) == "gzip"
    fields = Page(gzip.decompress(page.data).decode()).values
    following = visitor.post("/form", data={**fields, "go": "next"}, headers=GZIP)
    assert coding(following) == "gzip"
    assert "Accept-Language" in following.vary


def test_no_secret_is_in_a_compressed_body(app: Flask, quotes: Quotes, demo: dict[str, Any]) -> None:
    """The customer's link of a form's quote stands in a header; where a link is made its reply is not compressed, however long."""
    page = bearing(kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), Origin=PAGE)
    made = bare(app).post("/v1/quotes", json={**demo, "price_list": "retail"}, headers={**page, **GZIP})
    token = made.headers["Link"].partition("token=")[2].partition("&")[0]
    assert (coding(made), len(token) > 20) == ("gzip", True)
    assert token.encode() not in gzip.decompress(made.data)
    link = app.test_client().post(f"{made.headers['Location']}/links", json={}, headers=GZIP)
    assert (link.status_code, "token=" in link.text, "Content-Encoding" in link.headers) == (201, True, False)
    marked = {rule.rule for rule in app.url_map.iter_rules() if getattr(app.view_functions[rule.endpoint], "compressed", False)}
    assert not [each for each in marked if "link" in each or "webhook" in each or "key" in each]
