"""What the shop buys is nobody's business but its owner's: every cell of purchases.csv holds a mark, every address is asked by everybody else, and
no answer, paper, table, log or row of the database has one.
"""

from __future__ import annotations

import csv
import io
import logging
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PdfReader
from sqlalchemy import select

from pricing.catalogue import DEMO_FOLDER
from pricing.catalogue.compiling import rows_again
from pricing.catalogue.tables_purchases import PURCHASES
from service.auth.access import ACCESS
from service.credentials.keys import Kind, Scope
from service.engine.catalogues import files_of
from service.engine.engine import Engine, engine_over
from service.lifecycle.events import CHOOSABLE
from service.storage import Editions, Endpoints, Quotes
from service.storage.tables import metadata
from tests.batches.fleet import NDJSON, boat, ndjson, worked
from tests.counts import THOROUGH
from tests.service.conftest import DAY, Command, made_app
from tests.service.holders import bearing, kept_key
from tests.service.steps import accepted
from tests.service.test_erased_everywhere import layers

Json = dict[str, Any]
CELLS = {
    "supplier": "Sillabub Chandlers", "order_number": "SILL-ORDER", "lead_time_days": "778612345", "cost": "1.7857123451", "currency": "USD",
    "from_day": "1987-07-08", "until": "2097-07-08", "preferred": "yes", "source": "sillabub price list",
}  # fmt: skip
OF_WIRE = {"pack_size": "778.712345 m", "minimum_order": "778.512345 m", "reorder_below": "778.912345 m"}
OF_PIECES = {"pack_size": "778812 each", "minimum_order": "778813 each", "reorder_below": ""}
#: `currency` and `preferred` have no value of their own, and what is not told of a row cannot tell its `until`.
MARKS = (
    "sillabub", "sill-order", "778612345", "1.7857", "1987-07-08", "2097-07-08", "778.71", "778712.3", "778.51", "778512.3", "778.91", "778912.3",
    "778812", "778813",
)  # fmt: skip
PAPERS = ("application/pdf", "application/zip")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop, of which every article is bought from one supplier, with a mark in every cell."""
    place = tmp_path_factory.mktemp("marked") / "tables"
    copytree(DEMO_FOLDER, place, ignore=lambda _, names: [name for name in names if not name.endswith(".csv")])
    with (place / "purchases.csv").open(encoding="utf-8", newline="") as stream:
        header, *_ = csv.reader(stream)
    with (place / "purchases.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, header)
        writer.writeheader()
        for sku in sorted({sku for file in place.glob("*.csv") for sku in _skus(file)}):
            writer.writerow({"sku": sku, **CELLS, **(OF_WIRE if sku.startswith("WIRE-") else OF_PIECES)})
    return place


def _skus(file: Path) -> Iterator[str]:
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    return (row["sku"] for row in rows if "name" in row and "sku" in row)


@pytest.fixture
def marked(engine: Engine, folder: Path) -> Engine:
    """The engine with those rows; the rest of its tables is the same."""
    tables = replace(engine.catalogue.tables, purchases=rows_again(folder, PURCHASES))
    return engine_over(replace(engine.catalogue, tables=tables), engine.planner.prices, engine.planner.seconds, engine.today, engine.zone)


def marks_in(value: bytes | str) -> set[str]:
    """Marks in what is answered or stored, unpacked as far as it goes; of a PDF or an archive also those in its text."""
    raw = value.encode() if isinstance(value, str) else value
    texts = [layer.decode("utf-8", "replace") for layer in layers(raw)]
    if raw[:5] == b"%PDF-":
        texts += [page.extract_text() for page in PdfReader(io.BytesIO(raw)).pages]
    if raw[:4] == b"PK\x03\x04":
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            return {mark for name in archive.namelist() for mark in marks_in(archive.read(name))}
    return {mark for mark in MARKS for text in texts if mark in text.lower()}


def addresses(app: Flask, ids: dict[str, str], tables: list[str]) -> Iterator[tuple[str, str]]:
    """Path and media type of everything that can be read."""
    for rule in app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) or ACCESS[rule.endpoint].scope is Scope.OPERATE:
            continue
        path = rule.rule
        for name, value in ids.items():
            path = re.sub(f"<([a-z]+:)?{name}>", value, path)
        for kind in tables if "<kind>" in path else [""]:
            for media in getattr(app.view_functions[rule.endpoint], "produces", ("application/json",)):
                if media in PAPERS and not THOROUGH:
                    continue  # a second each to set and to read; they are set from what the pages are made of
                yield path.replace("<kind>", kind), media


def work_through(client: FlaskClient, app: Flask, quotes: Quotes) -> tuple[dict[str, str], list[tuple[str, bytes]]]:
    """A boat from request to finished wire, a revision, and a fleet; what was answered on the way, and ids of what there is now."""
    said: list[tuple[str, bytes]] = []

    def post(path: str, body: Any, **more: Any) -> Any:
        answer = client.post(path, json=body, **more)
        said.append((path, answer.data))
        assert answer.status_code < 300, (path, answer.text)
        return answer.json

    request = boat(assemblies=2)
    post("/v1/quotes/preview", request)
    revised = post("/v1/quotes", request)
    post(f"/v1/quotes/{revised['id']}/revisions", {**request, "assemblies": request["assemblies"][:1]})
    quote = post("/v1/quotes", request)
    post(f"/v1/quotes/{quote['id']}/links", {})
    post("/v1/cutting-plans", {"wire": {"sku": "WIRE-1X19-316-5-32IN"}, "pieces": [{"length": "7 m"}]})
    accepted(client, quote)
    plan = post("/v1/cutting-plans", {"quotes": [quote["id"]]})
    post(f"/v1/cutting-plans/{plan['id']}/take", {})
    finished = [{"tag": each["tag"], "finished_length": f"{each['target_length']['mm']} mm"} for each in quote["assemblies"]]
    post(f"/v1/quotes/{quote['id']}/as-built", {"assemblies": finished})
    made = client.post("/v1/batches", data=ndjson(boat("ONE"), boat("TWO")), content_type=NDJSON)
    worked(app, quotes)
    ids = {
        "quote_id": quote["id"], "plan_id": plan["id"], "batch_id": made.json["id"], "number": quote["number"], "tag": quote["assemblies"][0]["tag"],
        "name": "fleet-sloop-wagtail", "code": "unprocessable", "settlement_id": quote["id"], "question_id": quote["id"],
    }  # fmt: skip
    return ids, said


def test_no_answer_no_paper_no_log_and_no_row_tells_what_the_shop_pays(
    marked: Engine, folder: Path, quotes: Quotes, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    Editions(quotes).put_in_force(marked.key, files_of(folder))
    Endpoints(quotes).add("https://hooks.example/here", tuple(CHOOSABLE), b"secret" * 6, DAY)
    app = made_app(marked, quotes, form_key=kept_key(quotes, Kind.PUBLISHABLE))
    app.test_client_class = FlaskClient
    others = kept_key(quotes, scopes=[each for each in Scope if each is not Scope.OPERATE])
    app.extensions["keyring"]._ring = None
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {others}"
    ids, said = work_through(client, app, quotes)
    read = 0
    for path, media in addresses(app, ids, list(marked.catalogue.kinds())):
        answer = client.get(path, headers={"Accept": media})
        read += answer.status_code == 200
        said.append((f"{path} as {media}", answer.data + str(answer.headers).encode()))
    assert read > 60
    for path in ("/v1/purchases/needed", f"/v1/quotes/{ids['quote_id']}/margin"):
        assert client.get(path).status_code == 403
    assert {path: found for path, body in said if (found := marks_in(body))} == {}
    assert marks_in(caplog.text) == set()
    assert stored(quotes) == {"editions.content"}  # the tables themselves
    owner = bearing(kept_key(quotes, scopes=[Scope.OPERATE]))
    app.extensions["keyring"]._ring = None
    margin = app.test_client().get(f"/v1/quotes/{ids['quote_id']}/margin", headers=owner)
    assert marks_in(margin.data) == {"sillabub", "sill-order", "1.7857", "1987-07-08"}
    batch = app.test_client().get("/v1/purchases/needed", headers=owner, query_string={"batch": ids["batch_id"]})
    assert marks_in(batch.data) >= {"sillabub", "778612345", "778812", "778813"}


def stored(quotes: Quotes) -> set[str]:
    """Columns of the database that have a mark."""
    found = set()
    with quotes.reading() as connection:
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table)).mappings():
                found |= {f"{table.name}.{name}" for name, value in row.items() if isinstance(value, str | bytes) and marks_in(value)}
    return found


@pytest.mark.long
def test_no_command_for_others_prints_it(folder: Path, command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fleet = tmp_path / "fleet.ndjson"
    fleet.write_bytes(ndjson(boat("ONE")))
    for arguments in (
        ("gallery", str(tmp_path / "gallery")),
        ("demo",),
        ("batch", str(fleet), "--out", str(tmp_path / "results.xlsx")),
        ("form", "package", str(tmp_path / "package")),
        ("quotes", "export"),
        ("stock", "list"),
    ):
        assert command(*arguments, SERVICE_CATALOGUE=str(folder)) == 0
    assert marks_in(capsys.readouterr().out) == set()
    made = [path for path in tmp_path.rglob("*") if path.is_file() and path.suffix != ".sqlite3"]
    assert len(made) > 50
    assert {path.name: found for path in made if (found := marks_in(path.read_bytes()))} == {}
