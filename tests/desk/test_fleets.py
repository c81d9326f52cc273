"""A fleet at the counter: a table is sent, worked on, looked at; the one boat that was measured wrong is named."""

from __future__ import annotations

import re
from importlib import import_module
from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.storage import Quotes
from tests.batches.fleet import worked
from tests.desk.colleague import Colleague

HEADING = (
    "custom_id;boat.name;display_units;tag;role;wire.construction;wire.material;wire.diameter;upper.terminal;upper.attachment;upper.pin;"
    "lower.terminal;lower.attachment;lower.pin;measurement.readings;measurement.support;measurement.rig_setting;measurement.temperature"
)
SEND, AGAIN = "Have it quoted", "Stop quoting this fleet"


def row(mark: str, length: str, name: str = "Sister") -> str:
    return f"{mark};{name};metric;BACKSTAY;backstay;1x19;316;3/16 in;fork;swage;3/8 in;eye;swage;3/8 in;{length};flat;everyday;18 degC"


def table(*rows: str) -> tuple[BytesIO, str]:
    return BytesIO("\r\n".join((HEADING, *rows)).encode("utf-16")), "fleet.csv"


@pytest.fixture
def counter(desk: Flask) -> Colleague:
    made = Colleague(desk, Role.COUNTER)
    made.go("/desk/fleets")
    return made


def test_a_fleet_is_sent_quoted_and_its_odd_boat_named(counter: Colleague, desk: Flask, quotes: Quotes) -> None:
    """Five backstays of 10.4 m, one of 104 m, and a row without a length."""
    to, fields = counter.prepared(SEND, boats=None)
    rows = [*(row(f"HULL-{each}", f"10.40{each} m") for each in range(5)), row("HULL-9", "104 m", "<b>Odd</b>"), row("HULL-X", "long")]
    counter.send(to, {**fields, "boats": table(*rows)})
    assert "The fleet has arrived" in counter.text
    assert '<noscript><meta http-equiv="refresh" content="4"></noscript>' in counter.reply.text
    at = counter.at.split("?")[0]
    counter.send(to, {**fields, "boats": table(*rows)})  # pressed again
    assert counter.at.split("?")[0] == at
    worked(desk, quotes)
    counter.go(at)
    assert "http-equiv" not in counter.reply.text
    found: Any = desk.test_client().get(at.replace("/desk/fleets", "/v1/batches")).json
    assert f"Boats: 7. Quoted: {found['succeeded']}. Not quoted: {found['failed']}." in counter.text
    assert (found["succeeded"], found["failed"]) == (6, 1)
    summary = desk.test_client().get(found["summary"]).json
    (odd,) = summary["differing"]
    assert "they differ from their sisters" in counter.text
    assert odd["custom_id"] == "HULL-9"
    assert odd["length"]["text"] in counter.text
    assert f"{odd['median']['text']}, median of 5" in counter.text
    assert "<b>Odd</b>" not in counter.reply.text
    assert f"/desk/quotes/{odd['id']}" in counter.links()
    assert "HULL-X" in counter.text
    assert all(each["name"] in counter.text for each in summary["buying_list"])
    assert f"{at}?from=100" not in counter.links()
    listing = counter.go(f"{at}/results.csv")
    assert (listing.mimetype, len(listing.get_data(as_text=True).splitlines())) == ("text/csv", 8)


def test_the_quotes_of_a_fleet_are_listed_page_by_page(
    counter: Colleague, desk: Flask, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(import_module("service.desk.fleets"), "LISTED", 4)
    counter.press(SEND, boats=table(*(row(f"HULL-{each}", f"10.40{each} m") for each in range(6))))
    at = counter.at.split("?")[0]
    worked(desk, quotes)

    def listed(page: str = "") -> set[str]:
        assert counter.go(f"{at}{page}").status_code == 200
        return set(re.findall(r"HULL-\d", counter.text))

    assert listed() == {"HULL-0", "HULL-1", "HULL-2", "HULL-3"}
    assert "What to buy for it" in counter.text
    assert f"{at}?from=4" in counter.links()
    assert listed("?from=4") == {"HULL-4", "HULL-5"}
    assert "What to buy for it" not in counter.text  # of the whole fleet, and on its first page
    assert f"{at}?from=8" not in counter.links()
    for beyond in ("?from=6", "?from=-1", "?from=x"):
        assert listed(beyond) == {"HULL-0", "HULL-1", "HULL-2", "HULL-3"}


def test_a_fleet_is_stopped(counter: Colleague) -> None:
    counter.press(SEND, boats=table(row("A", "10 m")))
    counter.press(AGAIN)
    assert "Quoting has stopped" in counter.text
    assert not counter.forms(AGAIN)


@pytest.mark.parametrize(
    ("file", "status", "words"),
    [
        (None, 422, "No file was chosen"),
        ((BytesIO(b"a,b\n\xff\x00\x81"), "x.csv"), 422, "A file cannot be read"),
        ((BytesIO(b"custom_id,tag,colour\nA,P,<script>red"), "x.csv"), 422, "Something in it cannot be used"),
    ],
)
def test_a_table_that_is_none_is_refused_in_words(counter: Colleague, file: Any, status: int, words: str) -> None:
    assert counter.press(SEND, boats=file).status_code == status
    assert words in counter.text
    assert "<script>" not in counter.reply.text
    assert "None yet." in counter.text


def test_the_bench_sends_no_fleets(desk: Flask) -> None:
    assert Colleague(desk, Role.BENCH).go("/desk/fleets").status_code == 403


def test_a_column_that_there_is_not_is_named_and_an_empty_file_is_none(desk: Flask) -> None:
    counter = Colleague(desk, Role.COUNTER)
    counter.go("/desk/fleets")
    sent = counter.press("Have it quoted", boats=(BytesIO(b"boat;tag\nA;B\n"), "fleet.csv"))
    assert sent.status_code == 422
    assert "column boat: There is no such column; is boat.name meant?" in counter.text
    assert "Choose again: fleet.csv." in counter.text
    counter.press("Have it quoted", boats=(BytesIO(b""), "fleet.csv"))
    assert "No file was chosen" in counter.text


def test_files_of_an_ended_session_are_said_to_be_gone(desk: Flask) -> None:
    counter = Colleague(desk, Role.COUNTER, "de")
    counter.go("/desk/fleets")
    to, fields = counter.prepared("Anbieten lassen", boats=(BytesIO(b"boat;tag"), "fleet.csv"))
    counter.client.delete_cookie("desk", path="/desk")
    assert counter.send(to, fields).status_code == 401
    assert "Die gewählten Dateien wurden nicht behalten" in counter.text


def test_a_boat_without_a_wire_says_what_is_missing(counter: Colleague, desk: Flask, quotes: Quotes) -> None:
    sent = desk.test_client().post("/v1/batches", data=b'{"custom_id": "HULL-X", "assemblies": []}', content_type="application/x-ndjson")
    assert sent.status_code == 202, sent.json
    worked(desk, quotes)
    counter.go(f"/desk/fleets/{sent.json['id']}")
    assert "HULL-XThere is nothing in it: at least 1 is needed." in re.sub(r"\s*•\s*", "", counter.text)
