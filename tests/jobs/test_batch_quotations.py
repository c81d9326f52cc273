"""The quotations of a batch as one archive: whole, the same each time, made once, with one of them in memory at a time."""

from __future__ import annotations

import io
import sys
import time
import tracemalloc
import zipfile
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service import batched_pdfs
from service.documents.archive import zipped
from service.pdf.press import Press
from service.storage import Quotes
from service.storage import batches as storage
from tests.jobs.fleet import NDJSON, boat, fleet, ndjson, worked

# a press that prints the title of the page in place of pressing it, so that a test takes no minutes
PRINTS = "import re, sys; sys.stdout.buffer.write(b'%PDF-' + re.search(rb'<title>(.*?)</title>', sys.stdin.buffer.read()).group(1))"


@pytest.fixture
def quick(app: Flask) -> None:
    app.extensions["press"] = Press(command=(sys.executable, "-c", PRINTS))


@pytest.fixture
def done(app: Flask, client: FlaskClient, quotes: Quotes, quick: None) -> Any:
    lines = [boat("first"), b"{}", boat("second"), boat("third")]
    made = client.post("/v1/batches", data=ndjson(*lines), content_type=NDJSON)
    early = client.get(f"{made.headers['Location']}/quotations")
    assert (early.status_code, early.json["errors"][0]["code"]) == (409, "nothing_quoted")
    worked(app, quotes)
    return made


def at(made: Any, query: str = "") -> str:
    return f"{made.headers['Location']}/quotations{query}"


def opened(answer: Any) -> zipfile.ZipFile:
    assert (answer.status_code, answer.mimetype) == (200, "application/zip"), answer.text
    archive = zipfile.ZipFile(io.BytesIO(answer.data))
    assert archive.testzip() is None
    return archive


def test_every_quote_is_in_it_by_number_and_stored_as_it_is(client: FlaskClient, done: Any) -> None:
    answer = client.get(at(done))
    archive = opened(answer)
    assert [each.filename for each in archive.infolist()] == [f"Q-2026-00000{number}-1-en.pdf" for number in (1, 2, 3)]
    assert {each.compress_type for each in archive.infolist()} == {zipfile.ZIP_STORED}
    assert {each.flag_bits & 0x08 for each in archive.infolist()} == {0}  # sizes stand before what they are of (APPNOTE 4.4.4)
    assert archive.read("Q-2026-000002-1-en.pdf") == b"%PDF-Quotation Q-2026-000002"
    assert answer.headers["Content-Disposition"].endswith('-quotations-en.zip"')


def test_equal_quotes_give_equal_bytes_and_are_made_once(app: Flask, client: FlaskClient, done: Any) -> None:
    first = client.get(at(done)).data
    app.extensions["press"] = Press(command=("/bin/false",))
    assert client.get(at(done)).data == first
    assert client.get(at(done, "?lang=de")).status_code == 503  # others, which this press cannot make
    quote = client.get("/v1/quotes").json["quotes"][0]
    assert client.get(f"/v1/quotes/{quote['id']}?format=pdf").status_code == 200  # the same as by itself: kept already


def test_german_ones_are_others(client: FlaskClient, done: Any) -> None:
    names = opened(client.get(at(done, "?lang=de"))).namelist()
    assert names == [f"Q-2026-00000{number}-1-de.pdf" for number in (1, 2, 3)]
    assert opened(client.get(at(done), headers={"Accept-Language": "de"})).namelist() == names


def test_who_does_not_wait_is_told_where_to_look(client: FlaskClient, done: Any) -> None:
    answer = client.get(at(done), headers={"Prefer": "respond-async"})
    assert (answer.status_code, answer.json["status"]) == (202, "being_made")
    assert answer.headers["Location"] == answer.json["href"] == at(done)
    assert answer.headers["Preference-Applied"] == "respond-async"
    until = time.monotonic() + 60
    while answer.status_code == 202 and time.monotonic() < until:
        answer = client.get(answer.headers["Location"], headers={"Prefer": "wait=5"})
    assert len(opened(answer).namelist()) == 3


def test_one_quote_that_cannot_be_made_is_told_and_the_others_are_kept(app: Flask, client: FlaskClient, done: Any) -> None:
    fails = PRINTS.replace("import re, sys;", "import re, sys; page = sys.stdin.buffer.read(); b'000002' in page and sys.exit(1);")
    app.extensions["press"] = Press(command=(sys.executable, "-c", fails.replace("sys.stdin.buffer.read()).group", "page).group")))
    assert client.get(at(done)).status_code == 503
    app.extensions["press"] = Press(command=(sys.executable, "-c", PRINTS))
    assert len(opened(client.get(at(done))).namelist()) == 3


def test_the_batch_says_where_once_it_is_done_and_only_where_there_is_something(
    app: Flask, client: FlaskClient, quotes: Quotes, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = client.post("/v1/batches", data=ndjson(boat("one"), boat("two")), content_type=NDJSON)
    assert made.json["quotations"] is None
    failing = client.post("/v1/batches", data=ndjson(b"{}"), content_type=NDJSON)
    worked(app, quotes)
    told = client.get(made.headers["Location"]).json
    assert (told["state"], told["quotations"]) == ("done", at(made))
    assert len(opened(client.get(told["quotations"])).namelist()) == 2
    nothing = client.get(failing.headers["Location"]).json
    assert (nothing["state"], nothing["done"], nothing["quotations"]) == ("done", 0, None)
    monkeypatch.setattr(storage, "MOST_ARCHIVED", 1)
    assert client.get(made.headers["Location"]).json["quotations"] is None


# a press as fast as can be, whose PDFs are of 300 kB
LARGE = "cat >/dev/null; printf '%%PDF-'; head -c 300000 /dev/zero"


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


def test_an_archive_of_many_boats_takes_no_more_memory_than_one_of_few(app: Flask, client: FlaskClient, quotes: Quotes) -> None:
    """Over HTTP and in one process, made and kept before: 4 boats, then 40; 40 take 12 MB, of which one PDF and its copies are held."""
    app.extensions["press"] = Press(command=("/bin/sh", "-c", LARGE))
    made = [client.post("/v1/batches", data=fleet(count), content_type=NDJSON) for count in (4, 40)]
    worked(app, quotes)
    for each in made:
        until = time.monotonic() + 120
        while client.get(at(each), headers={"Prefer": "wait=20"}).status_code == 202 and time.monotonic() < until:
            continue
    peak(client, at(made[0]))  # what is remembered from the first time on is no part of it
    (few, of_few), (many, of_many) = (peak(client, at(each)) for each in made)
    assert (of_few > 4 * 300_000, of_many > 40 * 300_000) == (True, True)
    assert few < 2_500_000
    assert many < few + 500_000, (few, many)


def test_a_batch_of_too_many_is_refused_and_a_language_that_there_is_not(
    client: FlaskClient, done: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert client.get(at(done, "?lang=tlh")).status_code == 422
    assert client.get(at(done), headers={"Accept": "text/html"}).status_code == 406
    assert client.get("/v1/batches/01a21211-138e-7ff9-814a-1ce6de70983e/quotations").status_code == 404
    monkeypatch.setattr(batched_pdfs, "MOST", 2)
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
