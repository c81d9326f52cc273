"""A batch over HTTP: each line its own outcome, on SQLite; expected values are what the same request gives by itself."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from contextlib import suppress
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from openpyxl import load_workbook
from sqlalchemy import text

from service.engine.engine import Engine
from service.storage import Batches, Quotes
from service.storage.batches import FORSAKEN_SECONDS
from service.storage.chunks import Lost
from service.storage.tables import batch_chunks, batch_lines, batches
from tests.batches.fleet import NDJSON, boat, chunk_processor, fleet, ndjson, results, worked
from tests.counts import some
from tests.service.conftest import made_app
from tests.service.contract import validator

KEYED = {"Idempotency-Key": "fleet-1"}


def post(client: FlaskClient, body: bytes, media: str = NDJSON, **headers: str) -> Any:
    return client.post("/v1/batches", data=body, content_type=media, headers=headers)


def rows(quotes: Quotes, table: Any) -> list[Any]:
    with quotes.reading() as connection:
        return list(connection.execute(table.select()).all())


def test_each_line_becomes_the_quote_that_its_request_alone_would_be(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    asked = [boat("A", 2), boat("B", 1), boat(None, 3)]
    made = post(client, ndjson(*asked))
    assert (made.status_code, made.json["status"], made.json["total"], made.headers["Location"]) == (202, "waiting", 3, made.json["href"])
    worked(app, quotes)
    now = client.get(made.json["href"]).json
    assert (now["status"], now["succeeded"], now["failed"], now["seconds_left"]) == ("completed", 3, 0, 0)
    found = results(client, made, "whole")
    assert [(each["custom_id"], each["line_number"]) for each in found] == [("A", 1), ("B", 2), (None, 3)]
    for each, request in zip(found, asked, strict=True):
        alone = client.post("/v1/quotes/preview", json={name: value for name, value in request.items() if name != "custom_id"}).json
        assert each["quote"]["totals"] == alone["totals"]
        assert [one["cut_length"] for one in each["quote"]["assemblies"]] == [one["cut_length"] for one in alone["assemblies"]]
        assert client.get(f"/v1/quotes/{each['quote']['id']}").json == each["quote"]
    assert [each["quote"]["number"] for each in found] == ["Q-2026-000001", "Q-2026-000002", "Q-2026-000003"]


def test_a_broken_line_fails_with_its_number_and_place_and_the_others_go_on(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    worse = boat("D")
    worse["assemblies"][0]["measurement"]["readings"] = ["9568"]
    long = b'{"custom_id": "L", "note": "' + b"x" * 10_000_000 + b'"}'
    made = post(
        client, ndjson(boat("A"), b'{"custom_id": ', long, b"", worse, [1], boat("A"), boat("E", price_list="none"), boat("", 1), boat("Z"))
    )
    worked(app, quotes)
    found = {each["line_number"]: each for each in results(client, made)}
    faults = {
        number: [(error.get("pointer"), error["code"]) for error in each["problem"]["errors"]]
        for number, each in found.items()
        if "problem" in each
    }
    assert faults == {
        2: [("#", "not_json")],
        3: [("#", "line_too_long")],
        5: [("#/assemblies/0/measurement/readings/0", faults[5][0][1])],
        6: [("#", "not_an_object")],
        7: [("#/custom_id", "duplicate_line")],
        8: [("#/price_list", "unknown_price_list")],
        9: [("#/custom_id", "not_text")],
    }
    assert found[2]["problem"]["errors"][0]["line"] == 2
    assert [found[number]["outcome"] for number in (1, 10)] == ["succeeded", "succeeded"]
    now = client.get(made.json["href"]).json
    assert (now["status"], now["total"], now["succeeded"], now["failed"]) == ("completed", 9, 2, 7)
    assert [each.request for each in rows(quotes, batch_lines)] == [None] * 9  # what customers sent is not kept twice


def test_one_line_in_a_hundred_is_broken(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    many = some(2000, 300)
    broken = [b'{"assemblies": []}', b'{"custom_id": ', b"nothing", b"[]", b'{"custom_id": "H-1", "assemblies": [{}]}']
    lines = [broken[number // 100 % 5] if number % 100 == 50 else boat(f"H-{number}") for number in range(many)]
    made = post(client, ndjson(*lines))
    worked(app, quotes)
    now = client.get(made.json["href"]).json
    assert (now["succeeded"], now["failed"]) == (many - many // 100, many // 100)
    found = results(client, made)
    assert [each["line_number"] for each in found if each["outcome"] == "failed"] == list(range(51, many, 100))
    assert {each["problem"]["status"] for each in found if each["outcome"] == "failed"} == {400, 422}
    assert all(each["problem"]["errors"] for each in found if each["outcome"] == "failed")
    assert sorted(each["quote"]["number"] for each in found if "quote" in each) == [
        f"Q-2026-{number:06d}" for number in range(1, many - many // 100 + 1)
    ]


def test_a_list_of_requests_is_a_batch_and_what_is_no_list_is_refused(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, json.dumps([boat("A"), {"assemblies": 1}, boat("B")], indent=1).encode(), "application/json")
    worked(app, quotes)
    assert [(each["custom_id"], each["outcome"]) for each in results(client, made)] == [
        ("A", "succeeded"),
        (None, "failed"),
        ("B", "succeeded"),
    ]
    for body, status in ((b"{}", 400), (b"", 411), (b"[]", 422), (b"\n\n", 400)):
        assert post(client, body, "application/json").status_code == status, body
    assert post(client, b"\n\n").status_code == 422
    assert len(rows(quotes, batches)) == 1


HEADING = "custom_id;tag;role;wire.construction;wire.material;wire.diameter;upper.terminal;upper.attachment;lower.terminal;lower.attachment;lower.thread;lower.hand;measurement.readings;measurement.support"
WIRE = "1x19;316;5 mm;tee;swage;stud;swage;M10x1.5;right"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "utf-8"])
def test_a_sheet_is_a_batch_and_its_faults_are_named_by_row_and_column(
    app: Flask, client: FlaskClient, quotes: Quotes, encoding: str
) -> None:
    table = [
        HEADING,
        f"Äolus;P;cap_shroud;{WIRE};9 568,5 mm;flat",
        f"Äolus;S;cap_shroud;{WIRE};9 568,5 mm;flat",
        f"B;P;cap_shrout;{WIRE};9568;flat",
        f"C;P;backstay;{WIRE};12,5 m;flat",
    ]
    made = post(client, "\r\n".join(table).encode(encoding), "text/csv")
    assert (made.status_code, made.json["total"]) == (202, 3)
    worked(app, quotes)
    found = results(client, made, "whole")
    assert [(each["custom_id"], each["line_number"], each["outcome"]) for each in found] == [
        ("Äolus", 2, "succeeded"),
        ("B", 4, "failed"),
        ("C", 5, "succeeded"),
    ]
    assert [(each["row"], each["column_name"]) for each in found[1]["problem"]["errors"]] == [(4, "role"), (4, "measurement.readings")]
    assert [each["measured_length"]["mm"] for each in found[0]["quote"]["assemblies"]] == ["9568.500", "9568.500"]
    assert found[2]["quote"]["assemblies"][0]["measured_length"]["mm"] == "12500.000"


def test_the_former_name_of_a_lines_own_id_is_read_and_both_are_refused(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    asked = {name: value for name, value in boat().items() if name != "custom_id"}
    sent = post(client, ndjson({"line": "A", **asked}, {"line": "", **asked}, {"line": "C", "custom_id": "C", **asked}))
    table = [HEADING.replace("custom_id", "line"), f"D;P;cap_shroud;{WIRE};9 m;flat", f"{'E' * 121};P;cap_shroud;{WIRE};9 m;flat"]
    sheet = post(client, "\n".join(table).encode(), "text/csv")
    worked(app, quotes)
    assert [(each["custom_id"], each["outcome"]) for each in (*results(client, sent), *results(client, sheet))] == [
        ("A", "succeeded"), (None, "failed"), (None, "failed"), ("D", "succeeded"), (None, "failed"),
    ]  # fmt: skip
    faults = [each["problem"]["errors"][0] for each in results(client, sent)[1:]]
    assert [(each["pointer"], each["code"]) for each in faults] == [("#/line", "not_text"), ("#/line", "written_twice")]
    (both,) = post(client, f"line;{HEADING}\nA;A;P;cap_shroud;{WIRE};9 m;flat".encode(), "text/csv").json["errors"]
    assert (both["column_name"], both["code"]) == ("custom_id", "duplicate_column")


def test_a_sheet_with_a_wrong_heading_is_refused_whole(client: FlaskClient, quotes: Quotes) -> None:
    refused = post(client, b"custom_id,tag,colour\nA,P,red", "text/csv")
    assert refused.status_code == 422
    assert refused.json["errors"][0]["column_name"] == "colour"
    assert rows(quotes, batches) == []


def test_what_is_refused_before_a_line_is_read_stores_nothing(engine: Engine, quotes: Quotes) -> None:
    client = made_app(engine, quotes, max_batch_mb=1, max_batch_lines=3).test_client()
    plain = post(client, b"x", "text/plain")
    assert (plain.status_code, plain.json["errors"][0]["header"]) == (415, "Content-Type")
    assert post(client, b"x" * 1_000_001).status_code == 413
    assert post(client, fleet(4)).status_code == 413
    assert post(client, fleet(1), **{"Content-Encoding": "gzip"}).status_code == 415
    assert post(client, fleet(3)).status_code == 202
    assert len(rows(quotes, batches)) == 1
    assert len(rows(quotes, batch_lines)) == 3


def test_a_machine_without_room_for_the_body_says_so(client: FlaskClient, quotes: Quotes, monkeypatch: pytest.MonkeyPatch) -> None:
    class Full(io.BytesIO):
        def write(self, _: Any) -> int:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(tempfile, "TemporaryFile", lambda **_: Full())
    assert post(client, fleet(1)).status_code == 503
    assert rows(quotes, batches) == []


def test_two_batches_with_one_key_are_one(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    first, again = (post(client, fleet(30), **KEYED) for _ in range(2))
    assert (first.status_code, first.json["id"], first.headers["Location"]) == (202, again.json["id"], again.headers["Location"])
    assert post(client, fleet(31), **KEYED).status_code == 422
    worked(app, quotes)
    assert client.get(first.json["href"]).json["succeeded"] == 30
    assert (len(rows(quotes, batches)), len(client.get("/v1/quotes?limit=100").json["quotes"])) == (1, 30)


def test_cancelled_in_the_middle_nothing_more_is_quoted_and_what_was_stays(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(60))
    shop = chunk_processor(app, quotes)
    assert shop.work_one()
    running = shop.chunks.claim()  # somebody is at the second chunk
    assert running is not None
    cancelled = client.delete(made.json["href"])
    assert (cancelled.status_code, cancelled.json["status"], cancelled.json["succeeded"], cancelled.json["seconds_left"]) == (
        200,
        "cancelled",
        25,
        0,
    )
    results_of = shop._results(running, lambda: False)
    with pytest.raises(Lost):
        shop._keep(running, results_of or [])
    assert not shop.work_one()
    assert client.delete(made.json["href"]).json["status"] == "cancelled"
    assert len(results(client, made)) == 25
    assert len(client.get("/v1/quotes?limit=100").json["quotes"]) == 25
    assert {each.request for each in rows(quotes, batch_lines)} == {None}
    with quotes.reading() as connection:
        assert connection.execute(text("SELECT last FROM counters WHERE series = 'Q-2026'")).scalar_one() == 25


def test_a_batch_that_is_done_cannot_be_cancelled(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(1))
    worked(app, quotes)
    assert client.delete(made.json["href"]).status_code == 409
    nobody = "/v1/batches/01a21211-138e-7ff9-814a-1ce6de70983e"
    for address in (nobody, f"{nobody}/results", f"{nobody}/events"):
        assert client.get(address).status_code == 404
    assert client.delete(nobody).status_code == 404


def test_the_results_are_the_same_in_every_form(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, ndjson(boat("=A1"), b"{", boat("B", 2)))
    worked(app, quotes)
    heads = results(client, made)
    table = list(csv.DictReader(io.StringIO(client.get(f"{made.json['results']}?format=csv").data.decode("utf-8-sig"))))
    sheet = load_workbook(io.BytesIO(client.get(f"{made.json['results']}?format=xlsx").data))["Results"]
    names, *cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert [row["custom_id"] for row in table] == ["'=A1", "", "B"]  # a formula stays text
    assert [dict(zip(names, row, strict=True))["custom_id"] for row in cells] == ["=A1", None, "B"]
    for head, row, line in zip(heads, table, cells, strict=True):
        both = dict(zip(names, line, strict=True))
        assert (
            (row["line_number"], row["outcome"])
            == (str(head["line_number"]), head["outcome"])
            == (str(both["line_number"]), both["outcome"])
        )
        if "quote" in head:
            assert (row["number"], row["payable"], row["id"]) == (head["quote"]["number"], head["quote"]["payable"], head["quote"]["id"])
            assert (both["number"], f"{both['payable']:.2f}") == (row["number"], row["payable"])
        else:
            assert "not valid JSON" in row["problem"]
            assert both["problem"] == row["problem"]
    assert client.get(f"{made.json['results']}?format=pdf").status_code == 406
    assert client.get(f"{made.json['results']}?quotes=some").status_code == 422


def test_batches_are_listed_newest_first_a_page_at_a_time(client: FlaskClient) -> None:
    made = [post(client, fleet(1)).json["id"] for _ in range(3)]
    page = client.get("/v1/batches?limit=2")
    rest = client.get(f"/v1/batches?limit=2&cursor={page.json['next']}")
    assert [each["id"] for each in page.json["batches"] + rest.json["batches"]] == made[::-1]
    assert rest.json["next"] is None
    assert "/v1/batches?limit=2&cursor=" in page.headers["Link"]


def events_of(stream: str) -> list[dict[str, str]]:
    """The fields of each block of a stream (HTML Living Standard, 9.2.6); comments have none."""
    blocks = (block.splitlines() for block in stream.split("\n\n"))
    return [dict(line.split(": ", 1) for line in block if not line.startswith(":")) for block in blocks]


def test_a_batch_is_followed_to_its_end_and_not_beyond(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(30))
    worked(app, quotes)
    said = client.get(made.json["events"])
    assert said.content_type == "text/event-stream; charset=utf-8"
    assert b"id: 30-completed\nevent: completed\ndata: {" in said.data
    validator("BatchEvents").validate(said.text)
    found = [event for event in events_of(said.text) if "data" in event]
    assert [each["event"] for each in found] == ["completed"]
    for each in found:
        validator("BatchEvent").validate({**each, "data": json.loads(each["data"])})
    assert json.loads(said.data.split(b"data: ")[-1]) == client.get(made.json["href"]).json
    assert client.get(made.json["events"], headers={"Last-Event-ID": "30-completed"}).status_code == 204
    assert client.get(made.json["events"], headers={"Last-Event-ID": "25-running"}).status_code == 200


def test_what_is_streamed_is_not_gathered_first(app: Flask, client: FlaskClient, quotes: Quotes, caplog: pytest.LogCaptureFixture) -> None:
    made = post(client, fleet(30))
    with caplog.at_level("INFO", "service"):
        followed = client.get(made.json["events"], buffered=False)
        said = followed.iter_encoded()
        assert (next(said), next(said)[:23]) == (b"retry: 2000\n\n", b"id: 0-waiting\nevent: pr")
        worked(app, quotes)
        assert b"event: completed" in b"".join(said)
        assert "Content-Length" not in client.get(made.json["results"]).headers
    assert [each.bytes for each in caplog.records if each.message == "request"] == [None, None]


def test_those_who_follow_are_few_and_the_next_is_told_to_come_later(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(1))
    places = [app.extensions["followers"].admit() for _ in range(9)]
    assert places == [True] * 8 + [False]  # a quarter of the 32 threads
    refused = client.get(made.json["events"])
    assert (refused.status_code, refused.headers["Retry-After"]) == (503, "10")
    app.extensions["followers"]._places.release()
    worked(app, quotes)
    assert client.get(made.json["events"]).status_code == 200
    assert app.extensions["followers"].admit()  # its place is free again


def test_asking_for_the_head_of_a_stream_takes_no_place_for_good(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    made = post(client, fleet(1))
    for _ in range(20):
        with client.head(made.json["events"]) as reply:
            assert reply.status_code == 200
    worked(app, quotes)
    assert client.get(made.json["events"]).status_code == 200


def test_receiving_that_breaks_off_is_forgotten_and_is_never_worked_on(
    app: Flask, client: FlaskClient, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(Batches, "mark_received", lambda *_: 1 / 0)
        assert post(client, fleet(30)).status_code == 500
    assert worked(app, quotes) == 0
    assert client.get("/v1/batches").json["batches"] == []
    steady = [0.0]
    kept = Batches(quotes, lambda: 4e9, lambda: steady[0])
    for moment in (0.0, FORSAKEN_SECONDS - 1):
        steady[0] = moment
        kept.drop_unfinished()
        assert len(rows(quotes, batches)) == 1  # it might still be coming
    steady[0] = FORSAKEN_SECONDS
    kept.drop_unfinished()
    assert (rows(quotes, batches), rows(quotes, batch_lines), rows(quotes, batch_chunks)) == ([], [], [])


def test_a_line_that_takes_too_long_says_so_and_its_neighbours_are_done(
    app: Flask, client: FlaskClient, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The computing of boat B does not end: it goes round for ever in Python, and swallows what it can."""
    as_it_is = Engine.quote

    def slow(self: Engine, request: Any) -> Any:
        while request.boat.name == "B":
            with suppress(Exception):  # as code may that tries something
                sum(range(1000))
        return as_it_is(self, request)

    monkeypatch.setattr(Engine, "quote", slow)
    made = post(client, ndjson(*(boat(name, 1, boat={"name": name}) for name in "ABC")))
    shop = chunk_processor(app, quotes)
    shop.seconds = 0.5
    while shop.work_one():
        pass
    shop.chunks.finish_all()
    first, second, third = results(client, made)
    assert [each["custom_id"] for each in (first, third) if "quote" in each] == ["A", "C"]
    assert (second["problem"]["status"], "took longer than 0.5 seconds" in second["problem"]["detail"]) == (503, True)
    assert client.get(made.json["href"]).json["failed"] == 1
