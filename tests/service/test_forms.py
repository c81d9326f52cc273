"""One quote in every format over HTTP: content negotiation (RFC 9110), entity tags, compression, file names, and who may read it."""

from __future__ import annotations

import csv
import gzip
import io
import json
from typing import Any
from urllib.parse import quote as percent_encoded
from xml.etree.ElementTree import fromstring

import pytest
from flask import Flask
from flask.testing import FlaskClient
from openpyxl import load_workbook

from service.formats.release import made_by
from service.storage import Quotes
from tests.service.conftest import KEY
from tests.service.holders import link_to
from tests.service.test_access import bare

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FORMS = {"csv": "text/csv", "xlsx": XLSX, "ubl": "application/xml"}
UBL = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"


@pytest.fixture
def made(client: FlaskClient, demo: dict[str, Any]) -> Any:
    return client.post("/v1/quotes", json=demo)


def rows(answer: Any) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))


@pytest.mark.parametrize(("name", "media"), FORMS.items())
def test_a_form_is_asked_for_by_name_or_by_media_type_alike(client: FlaskClient, made: Any, name: str, media: str) -> None:
    at = made.headers["Location"]
    named, accepted = client.get(f"{at}?format={name}"), client.get(at, headers={"Accept": media})
    assert named.mimetype == accepted.mimetype == media
    assert named.data == accepted.data
    assert named.headers["ETag"] == accepted.headers["ETag"]
    assert named.headers["Content-Language"] == "en"


def test_the_forms_say_what_the_json_says(client: FlaskClient, made: Any) -> None:
    at, quote = made.headers["Location"], made.json
    lines = [row for row in rows(client.get(f"{at}?format=csv")) if row["entry"] == "line"]
    assert [row["net"] for row in lines] == [line["net"] for line in quote["lines"]]
    bill = rows(client.get(f"{at}?format=csv&table=bill"))
    assert [(row["sku"], row["quantity"]) for row in bill] == [(part["sku"], part["quantity"]) for part in quote["bill_of_materials"]]
    ubl = fromstring(client.get(f"{at}?format=ubl").data)  # noqa: S314  # made here
    assert (ubl.findtext(f"{UBL}ID"), ubl.findtext(f"{UBL}UUID")) == (quote["number"], quote["id"])
    assert ubl.findtext(f".//{UBL}PayableAmount") == quote["totals"]["payable"]
    book = load_workbook(io.BytesIO(client.get(f"{at}?format=xlsx").data))
    assert book["Lines"].max_row >= len(quote["lines"])


# RFC 9110, 12.5.1: the most specific range counts, quality 0 is "not acceptable", equals are the server's to order
@pytest.mark.parametrize(
    ("accept", "media"),
    [
        ("*/*", "application/json"),
        ("text/csv, application/json", "application/json"),
        ("text/csv, application/json;q=0.9", "text/csv"),
        ("application/json;q=0, */*;q=0.1", "text/csv"),
        ("text/*;q=0.3, application/*;q=0.5", "application/json"),
        ("application/*;q=0.5, application/json;q=0.1", XLSX),
        ("text/csv;q=0.001", "text/csv"),
    ],
)
def test_the_form_of_the_highest_quality_is_chosen(client: FlaskClient, made: Any, accept: str, media: str) -> None:
    assert client.get(made.headers["Location"], headers={"Accept": accept}).mimetype == media


@pytest.mark.parametrize("accept", ["image/png", "application/json;q=0", "text/csv;q=0, text/plain"])
def test_what_is_not_offered_is_406_with_everything_that_is(client: FlaskClient, made: Any, accept: str) -> None:
    answer = client.get(made.headers["Location"], headers={"Accept": accept})
    assert answer.status_code == 406
    assert {"application/json", *FORMS.values()} <= set(answer.headers["Accept"].split(", "))
    assert XLSX in answer.json["detail"]


def test_a_format_in_the_address_overrides_the_header_and_one_that_is_none_is_406(client: FlaskClient, made: Any) -> None:
    at = made.headers["Location"]
    assert client.get(f"{at}?format=ubl", headers={"Accept": "image/png"}).mimetype == "application/xml"
    for wrong in ("docx", "", "JSON", "csv,xlsx"):
        answer = client.get(f"{at}?format={wrong}")
        assert (answer.status_code, "csv" in answer.json["detail"]) == (406, True)
    answer = client.get(f"{at}?format=csv&table=totals")
    assert (answer.status_code, answer.json["errors"][0]["parameter"]) == (422, "table")


def test_each_form_and_coding_has_a_tag_of_its_own_and_304_answers_it_alone(client: FlaskClient, made: Any) -> None:
    at = made.headers["Location"]
    asked = [(name, table, coding) for name in ("json", *FORMS) for table in ("lines", "bill") for coding in ("gzip", "identity")]
    tags = {}
    for name, table, coding in asked:
        path, headers = f"{at}?format={name}&table={table}", {"Accept-Encoding": coding}
        answer = client.get(path, headers=headers)
        tags[answer.headers["ETag"]] = answer.data
        assert set(answer.headers["Vary"].split(", ")) == {"Accept", "Accept-Encoding", *(["Prefer"] if name == "json" else [])}
        again = client.get(path, headers={**headers, "If-None-Match": answer.headers["ETag"]})
        assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", answer.headers["ETag"])
        assert set(again.headers["Vary"].split(", ")) == {"Accept", "Accept-Encoding", *(["Prefer"] if name == "json" else [])}
        head = client.head(path, headers=headers)
        assert (head.data, head.headers["ETag"], head.headers["Content-Length"]) == (b"", answer.headers["ETag"], str(len(answer.data)))
    # json twice, csv four times, xlsx is packed in itself: one tag a coding would be another name for the same bytes
    assert len(tags) == 2 + 4 + 1 + 2
    assert len(set(tags.values())) == len(tags)


def test_gzip_holds_the_very_bytes(client: FlaskClient, made: Any) -> None:
    for name in ("csv", "ubl"):
        plain, packed = (
            client.get(f"{made.headers['Location']}?format={name}", headers={"Accept-Encoding": each}) for each in ("", "gzip")
        )
        assert "Content-Encoding" not in plain.headers
        assert gzip.decompress(packed.data) == plain.data
        assert len(packed.data) < len(plain.data)
    assert "Content-Encoding" not in client.get(f"{made.headers['Location']}?format=xlsx", headers={"Accept-Encoding": "gzip"}).headers


def test_a_form_is_saved_under_number_and_revision(client: FlaskClient, made: Any) -> None:
    at = made.headers["Location"]
    said = {name: client.get(f"{at}?format={name}").headers["Content-Disposition"] for name in FORMS}
    assert said["xlsx"] == 'attachment; filename="Q-2026-000001-1.xlsx"'
    assert said["ubl"] == 'attachment; filename="Q-2026-000001-1.xml"'
    assert said["csv"] == 'attachment; filename="Q-2026-000001-1-lines.csv"'
    assert "Content-Disposition" not in client.get(at).headers


def test_the_tag_changes_with_the_status_and_with_what_makes_the_document(
    client: FlaskClient, made: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"{made.headers['Location']}?format=csv"
    before = client.get(path).headers["ETag"]
    client.post(f"{made.headers['Location']}/decline", json={})
    declined = client.get(path).headers["ETag"]
    monkeypatch.setattr("service.formats.replies.made_by", lambda: "another release")
    assert len({before, declined, client.get(path).headers["ETag"]}) == 3
    assert len(made_by()) == 16


def test_a_link_reads_its_quote_in_every_form_and_its_drawings(app: Flask, quotes: Quotes, made: Any) -> None:
    at, token = made.headers["Location"], link_to(quotes, made.json["id"])
    for path in (*(f"{at}?format={name}&" for name in ("json", *FORMS)), f"{at}/rig-sheet?", f"{at}/assemblies/CAP-P/drawing?"):
        answer = bare(app).get(f"{path}token={token}")
        assert (answer.status_code, answer.headers["Cache-Control"]) == (200, "no-store"), path
        assert bare(app).get(path).status_code == 401


ODD_TAGS = ["CAP/P", "/", "//x//", "Großfall 帆", "100 %", "a?b#c", "<script>", "drawing", "x/drawing", '"quoted"', "a\\b", "%2F", "ة"]


def test_a_drawing_is_found_by_whatever_tag_and_another_tag_is_404(app: Flask, demo: dict[str, Any]) -> None:
    client = app.test_client()
    assembly = demo["assemblies"][-1]
    made = client.post("/v1/quotes", json={**demo, "assemblies": [{**assembly, "tag": tag} for tag in ODD_TAGS]})
    assert made.status_code == 201, made.text
    at = made.headers["Location"]
    plain = Flask.test_client_class or FlaskClient
    app.test_client_class = plain  # the contract's path templates know no slash inside a segment
    client, asking = app.test_client(), {"Authorization": f"Bearer {KEY}"}
    tags = set()
    for tag in ODD_TAGS:
        answer = client.get(f"{at}/assemblies/{percent_encoded(tag, safe='')}/drawing", headers=asking)
        assert (answer.status_code, answer.content_type) == (200, "image/svg+xml; charset=utf-8"), tag
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        name = answer.headers["Content-Disposition"].split('filename="')[1].split('"')[0]
        assert name.startswith("Q-2026-000001-1")
        assert not set(name) & set('/\\:*?"<>|%\r\n'), name
        assert answer.headers["Content-Disposition"].isascii()
        title = fromstring(answer.data)[0].text  # noqa: S314  # made here
        assert title is not None
        tags.add(title)
    assert len(tags) == len(ODD_TAGS)
    for tag in ("nothing", "CAP", "", "CAP/P/", "%", "\x00", "\ud800x".encode("utf-16", "surrogatepass").hex()):
        answer = client.get(f"{at}/assemblies/{percent_encoded(tag, safe='')}/drawing", headers=asking)
        assert (answer.status_code, answer.mimetype) == (404, "application/problem+json"), tag


def test_an_unknown_quotes_documents_are_404(client: FlaskClient) -> None:
    nobody = "/v1/quotes/01a21211-138e-7ff9-814a-1ce6de70983e"
    for path in (f"{nobody}?format=csv", f"{nobody}/rig-sheet", f"{nobody}/assemblies/CAP-P/drawing"):
        assert client.get(path).status_code == 404


def test_a_quote_with_nothing_priced_is_served_in_every_form(client: FlaskClient, demo: dict[str, Any]) -> None:
    one = json.loads(json.dumps(demo["assemblies"][0]))
    one["turnbuckle"].pop("setting")
    made = client.post("/v1/quotes", json={**demo, "assemblies": [one]})
    assert made.json["left_out"] == ["CAP-P"]
    for name in FORMS:
        assert client.get(f"{made.headers['Location']}?format={name}").status_code == 200
    for path in ("rig-sheet", "assemblies/CAP-P/drawing"):
        assert b"HOLD" in client.get(f"{made.headers['Location']}/{path}").data
