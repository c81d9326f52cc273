"""The quotations of a batch as one archive: whole, the same each time, with one of them in memory at a time."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from threading import BoundedSemaphore
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.batches import pdfs
from service.documents.archive import zipped
from service.storage import Quotes
from service.storage import batches as storage
from tests.batches.fleet import NDJSON, boat, fleet, ndjson, worked


@pytest.fixture
def done(app: Flask, client: FlaskClient, quotes: Quotes) -> Any:
    lines = [boat("first"), b"{}", boat("second"), boat("third")]
    made = client.post("/v1/batches", data=ndjson(*lines), content_type=NDJSON)
    early = client.get(f"{made.headers['Location']}/quotations")
    assert (early.status_code, early.json["code"]) == (409, "not_completed")
    worked(app, quotes)
    return made


def at(made: Any, query: str = "") -> str:
    return f"{made.headers['Location']}/quotations{query}"


def opened(answer: Any) -> zipfile.ZipFile:
    assert (answer.status_code, answer.mimetype) == (200, "application/zip"), answer.text
    archive = zipfile.ZipFile(io.BytesIO(answer.data))
    answer.close()  # as a server does once it is sent
    assert archive.testzip() is None
    return archive


def test_every_quote_is_in_it_by_number_and_stored_as_it_is(client: FlaskClient, done: Any) -> None:
    answer = client.get(at(done))
    archive = opened(answer)
    assert [each.filename for each in archive.infolist()] == [f"Q-2026-00000{number}-1-en.pdf" for number in (1, 2, 3)]
    assert {each.compress_type for each in archive.infolist()} == {zipfile.ZIP_STORED}
    assert {each.flag_bits & 0x08 for each in archive.infolist()} == {0}  # sizes stand before what they are of (APPNOTE 4.4.4)
    ids = {each["number"]: each["id"] for each in client.get("/v1/quotes").json["quotes"]}
    for number, quote_id in ids.items():
        assert archive.read(f"{number}-1-en.pdf") == client.get(f"/v1/quotes/{quote_id}?format=pdf").data  # the same as by itself
    assert answer.headers["Content-Disposition"].endswith('-quotations-en.zip"')


def test_equal_quotes_give_equal_bytes(client: FlaskClient, done: Any) -> None:
    first, second = (client.get(at(done), buffered=True).data for _ in range(2))
    assert first == second


def test_so_many_are_sent_at_once_and_a_reader_who_leaves_makes_room(app: Flask, client: FlaskClient, done: Any) -> None:
    app.extensions["archives"] = BoundedSemaphore(1)
    begun = client.get(at(done), buffered=False)
    next(begun.iter_encoded())
    refused = client.get(at(done))
    assert (refused.status_code, refused.headers["Retry-After"], refused.json["errors"][0]["code"]) == (503, "10", "busy")
    begun.close()
    assert len(opened(client.get(at(done))).namelist()) == 3
    client.get(at(done), buffered=False).close()  # before anything was read
    assert len(opened(client.get(at(done))).namelist()) == 3


def test_german_ones_are_others(client: FlaskClient, done: Any) -> None:
    names = opened(client.get(at(done, "?lang=de"))).namelist()
    assert names == [f"Q-2026-00000{number}-1-de.pdf" for number in (1, 2, 3)]
    assert opened(client.get(at(done), headers={"Accept-Language": "de"})).namelist() == names


def test_the_batch_says_where_once_it_is_done_and_only_where_there_is_something(
    app: Flask, client: FlaskClient, quotes: Quotes, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = client.post("/v1/batches", data=ndjson(boat("one"), boat("two")), content_type=NDJSON)
    assert made.json["quotations"] is None
    failing = client.post("/v1/batches", data=ndjson(b"{}"), content_type=NDJSON)
    worked(app, quotes)
    told = client.get(made.headers["Location"]).json
    assert (told["status"], told["quotations"]) == ("completed", at(made))
    assert len(opened(client.get(told["quotations"])).namelist()) == 2
    nothing = client.get(failing.headers["Location"]).json
    assert (nothing["status"], nothing["succeeded"], nothing["quotations"]) == ("completed", 0, None)
    monkeypatch.setattr(storage, "MOST_ARCHIVED", 1)
    assert client.get(made.headers["Location"]).json["quotations"] is None


def peak(client: FlaskClient, path: str) -> tuple[int, int]:
    """The most bytes that Python held while the address was asked and its archive read in pieces, and the archive's size."""
    tracemalloc.start()
    try:
        answer = client.get(path, buffered=False)
        assert answer.status_code == 200
        size = sum(len(piece) for piece in answer.iter_encoded())
        answer.close()
        return tracemalloc.get_traced_memory()[1], size
    finally:
        tracemalloc.stop()


@pytest.mark.long
def test_an_archive_of_many_boats_takes_no_more_memory_than_one_of_few(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    """Over HTTP and in one process: 4 boats, then 24."""
    made = [client.post("/v1/batches", data=fleet(count), content_type=NDJSON) for count in (4, 24)]
    worked(app, quotes)
    peak(client, at(made[0]))  # what is remembered from the first time on is no part of it
    (few, of_few), (many, of_many) = (peak(client, at(each)) for each in made)
    assert of_many > 5 * of_few
    assert many < few + 500_000, (few, many)


def test_a_batch_of_too_many_is_refused_and_a_language_that_there_is_not(
    client: FlaskClient, done: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert client.get(at(done, "?lang=tlh")).status_code == 422
    assert client.get(at(done), headers={"Accept": "text/html"}).status_code == 406
    assert client.get("/v1/batches/01a21211-138e-7ff9-814a-1ce6de70983e/quotations").status_code == 404
    monkeypatch.setattr(pdfs, "MOST", 2)
    refused = client.get(at(done))
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (422, "too_many_boats")


def test_an_archive_is_written_with_one_file_in_memory() -> None:
    """Forty files of a megabyte: what is held at once is a few of them."""
    tracemalloc.start()
    whole = sum(len(piece) for piece in zipped((f"{number}.pdf", bytes([number]) * 1_000_000) for number in range(40)))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert whole > 40_000_000
    assert most < 6_000_000
