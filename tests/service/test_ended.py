"""Articles of a shop's tables that end: listed and offered up to their last day, refused on the next, and old quotes come out as they were."""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.demo import demo_names, demo_request
from service.engine.catalogues import Catalogues, files_of
from service.engine.engine import Engine, engine_of
from service.quotes.recompute import differences, recomputed
from service.settings import Settings
from service.storage import Editions, Quotes
from service.storage.stored_quotes import kept_quotes
from tests.service.conftest import made_app
from tests.service.shops import shop

LAST, AFTER, YEAR_LATER = date(2026, 12, 1), date(2026, 12, 2), date(2027, 12, 1)
TEE = "TEE-SW-3-16IN"  # the one tee for 3/16 in wire (terminals.csv), which the caps of the demo's first boat have


@dataclass(frozen=True)
class Shop:
    """A folder in which the tee ends, and a client of it on any day."""

    folder: Path
    store: Quotes

    def engine(self, day: date) -> Engine:
        return engine_of(self.folder, Settings(today=day))

    def client(self, day: date) -> FlaskClient:
        return made_app(self.engine(day), self.store, today=day).test_client()


@pytest.fixture
def ended(tmp_path: Path, quotes: Quotes) -> Shop:
    folder = shop(tmp_path / "shop")
    path = folder / "terminals.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = [{**row, "until": LAST.isoformat() if row["sku"] == TEE else ""} for row in csv.DictReader(file)]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return Shop(folder, quotes)


def boat() -> dict[str, Any]:
    asked: dict[str, Any] = json.loads(demo_request(demo_names()[0]))
    return {**asked, "assemblies": asked["assemblies"][:2]}


def stopped(quote: dict[str, Any]) -> list[str]:
    return [found["pointer"] for each in quote["assemblies"] for found in each["findings"] if found["code"] == "no-longer-sold"]


def listed(client: FlaskClient) -> dict[str, str | None]:
    return {row["sku"]: row["until"] for row in client.get("/v1/catalogue/terminals").json["rows"]}


def offered(client: FlaskClient) -> set[str]:
    """The sizes of 1x19 wire that the form offers a tee for."""
    tables = {table["name"]: table for table in client.get("/v1/form").json["tables"]}
    at = {name: place for place, name in enumerate(tables["terminals"]["columns"])}
    rows = [row for row in tables["terminals"]["rows"] if "tee" in row[at["terminal"]] and "1x19" in row[at["construction"]]]
    return {size for row in rows for size in row[at["diameter"]]}


def test_what_has_ended_is_neither_listed_nor_offered(ended: Shop) -> None:
    then, now = ended.client(LAST), ended.client(AFTER)
    assert (listed(then)[TEE], TEE in listed(now)) == ("2026-12-01", False)
    assert set(listed(then)) - set(listed(now)) == {TEE}
    counts = [next(each["rows"] for each in one.get("/v1/catalogue").json["kinds"] if each["kind"] == "terminals") for one in (then, now)]
    assert counts[0] - counts[1] == 1
    assert offered(then) - offered(now) == {"3/16 in"}


def test_a_quote_is_made_on_the_last_day_and_held_on_the_next(ended: Shop) -> None:
    then = ended.client(LAST).post("/v1/quotes", json=boat()).json
    assert stopped(then) == []
    assert [found["pointer"] for found in then["findings"] if found["code"] == "sold-until"] == ["/assemblies/0/upper"]
    again = ended.client(AFTER).post(f"/v1/quotes/{then['id']}/revisions", json=boat(), headers={"If-Match": "*"})
    assert again.status_code == 201, again.json
    assert stopped(again.json) == ["/assemblies/0/upper/terminal", "/assemblies/1/upper/terminal"]
    assert again.json["left_out"] == ["CAP-P", "CAP-S"]


def test_an_ended_article_added_by_its_number_is_a_fault_with_its_place(ended: Shop) -> None:
    asked = {**boat(), "extra_articles": [{"sku": TEE, "quantity": "1"}]}
    assert ended.client(LAST).post("/v1/quotes", json=asked).status_code == 201
    refused = ended.client(AFTER).post("/v1/quotes", json=asked)
    assert refused.status_code == 422
    (fault,) = refused.json["errors"]
    assert (fault["pointer"], fault["code"]) == ("#/extra_articles/0/sku", "article_ended")
    assert "its last day was 2026-12-01" in fault["detail"]


def test_a_quote_of_a_year_ago_is_computed_again_to_the_same(ended: Shop) -> None:
    engine = ended.engine(LAST)
    Editions(ended.store).put_in_force(engine.key, files_of(ended.folder))
    assert ended.client(LAST).post("/v1/quotes", json=boat()).status_code == 201
    (kept,) = kept_quotes(ended.store)
    later = Catalogues(Settings(today=YEAR_LATER), Editions(ended.store), ended.engine(YEAR_LATER))
    assert list(differences(kept.document, recomputed(kept, later))) == []


def test_a_part_that_stays_aboard_is_quoted_after_its_last_day(ended: Shop) -> None:
    """A compression fork that is fitted again needs no sale: only its cone is new."""
    path = ended.folder / "terminals.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("2026-12-01", ""), encoding="utf-8")
    lines = path.read_text(encoding="utf-8").splitlines()
    lines = [line + LAST.isoformat() if line.startswith("FORK-CO-3-16IN,") else line for line in lines]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    kept = {"terminal": "fork", "attachment": "compression", "pin": "3/8 in", "reuse": True}
    asked = boat()
    asked["assemblies"] = [{**asked["assemblies"][0], "upper": kept}]
    new = {**asked, "assemblies": [{**asked["assemblies"][0], "upper": {**kept, "reuse": False}}]}
    client = ended.client(AFTER)
    assert [stopped(client.post("/v1/quotes", json=each).json) for each in (asked, new)] == [[], ["/assemblies/0/upper/terminal"]]


def test_a_size_that_is_sold_under_two_numbers_is_offered_once(ended: Shop) -> None:
    """Wire that ends stands above its successor, as the guide to a shop's own tables has it: up to its last day it is taken, then the other."""
    number = "WIRE-1X19-316-3-16IN"
    for file in ("wires.csv", "prices.csv"):
        path = ended.folder / file
        with path.open(encoding="utf-8", newline="") as stream:
            head, *rows = csv.reader(stream)
        made = [[*row, LAST.isoformat() if row[0] == number else ""] for row in rows]
        made += [[f"{number}-NEW", *row[1:], ""] for row in rows if row[0] == number]
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([[*head, "until"], *made] if file == "wires.csv" else [head, *(row[:-1] for row in made)])
    quotes = []
    for day in (LAST, AFTER):
        client = ended.client(day)
        (table,) = [each for each in client.get("/v1/form").json["tables"] if each["name"] == "wires"]
        sizes = [size for row in table["rows"] if "1x19" in row[0] and "316" in row[1] for size in row[2]]
        assert sizes.count("3/16 in") == 1
        asked = {
            **boat(),
            "assemblies": [{**boat()["assemblies"][0], "upper": {"terminal": "fork", "attachment": "swage", "pin": "3/8 in"}}],
        }
        quotes.append(client.post("/v1/quotes", json=asked).json)
    assert [each["bill_of_materials"][0]["sku"] for each in quotes] == [number, f"{number}-NEW"]
    assert "wire-changed" not in json.dumps(quotes)
