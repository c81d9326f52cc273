"""A shop's tables by its own programs: sent, compared, tried, put in force from a day on; hostile ones refused by file and line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from pricing.catalogue import DEMO_FOLDER
from service.demo import demo_names, demo_request
from service.engine.catalogues import files_of
from service.engine.engine import Engine
from service.storage import Edition, Editions, Quotes
from service.storage.catalogue_editions import MOST_DRAFTS
from tests.service.conftest import DAY, made_app
from tests.service.shops import small_shop

WEEK = DAY + timedelta(7)
FORK = "FORK-SW-3-16IN,each,2026-07-01,1,"


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A small loft's tables, which are compiled in no time."""
    return files_of(small_shop(tmp_path_factory.mktemp("small") / "loft").folder)


@pytest.fixture
def shop(app: Flask, quotes: Quotes, engine: Engine) -> FlaskClient:
    """A client of a shop whose demo tables were put in force by a start."""
    Editions(quotes).put_in_force(engine.key, files_of(DEMO_FOLDER), DAY)
    return app.test_client()


def sent(client: FlaskClient, files: dict[str, str], status: int = 201, **more: Any) -> Any:
    answer = client.post("/v1/tables", json={"files": files, **more})
    assert answer.status_code == status, answer.json
    return answer.json


def put(client: FlaskClient, edition: str, seen: int, status: int = 200, /, **more: Any) -> Any:
    order = {"from_day": WEEK.isoformat(), "by": "Jo Marsh", "seen": seen} | more
    answer = client.post(f"/v1/tables/{edition}/in-force", json=order, headers={"Idempotency-Key": json.dumps(order).encode().hex()[:200]})
    assert answer.status_code == status, answer.json
    return answer.json


def test_a_dearer_fork_is_seen_before_it_counts_and_counts_from_its_day_on(shop: FlaskClient, quotes: Quotes, engine: Engine) -> None:
    """The fork at 33.19 in place of 32.19 is 1/32.19 = 3.1 % more. The yawl has one, at the retail price: 1.00 more, and 7 % tax on it, 1.07."""
    boat = json.loads(demo_request(demo_names()[0]))
    boat["assemblies"] = boat["assemblies"][:1]
    assert shop.post("/v1/quotes", json=boat).status_code == 201
    prices = files_of(DEMO_FOLDER)["prices.csv"]
    made = sent(shop, {"prices.csv": prices.replace(f"{FORK}32.19", f"{FORK}33.19")}, base=engine.key.id)
    edition = made["edition"]["id"]
    assert (made["edition"]["status"], made["last_change"], made["doubts"]) == ("draft", 1, [])
    (table,) = shop.get(f"/v1/tables/{edition}/difference").json["tables"]
    assert (table["table"], table["counts"], table["new"], table["gone"]) == ("prices", {"new": 0, "gone": 0, "changed": 1}, [], [])
    assert table["changed"][0] == {
        "key": "FORK-SW-3-16IN / 2026-07-01 / 1",
        "line": next(at for at, line in enumerate(prices.splitlines(), 1) if line.startswith(FORK)),
        "changes": [{"column_name": "unit_price", "before": "32.19", "after": "33.19", "change_mm": None, "change_percent": "3.1"}],
    }
    effect = shop.post(f"/v1/tables/{edition}/effect", json={"from_day": WEEK.isoformat()}).json
    assert (effect["priced_already"], effect["open_quotes"]["looked_at"], effect["boats"]["looked_at"]) == (1, 1, len(demo_names()))
    (yawl,) = [each for each in effect["boats"]["changed"] if each["name"] == "winter-yawl-plover"]
    assert (yawl["change"], yawl["lengths"], yawl["readiness"], yawl["articles"]) == ("1.07", [], [], [])
    assert (effect["against"], effect["day"]) == (engine.key.id, WEEK.isoformat())
    put(shop, edition, made["last_change"], words="the maker's list of December")
    found = shop.get("/v1/tables").json
    assert [(each["id"], each["status"]) for each in found["editions"]] == [(edition, "coming"), (engine.key.id, "in_force")]
    assert found["changes"][0] | {"put_at": None} == {
        "change": 2, "edition": edition, "from_day": WEEK.isoformat(), "status": "coming", "put_at": None, "by": "Jo Marsh",
        "words": "the maker's list of December", "key": "demo", "by_a_start": False,
    }  # fmt: skip
    assert [(Editions(quotes).current(day) or engine.key).id for day in (DAY, WEEK)] == [engine.key.id, edition]


def test_demo_boats_that_a_shop_cannot_quote_are_left_out_of_a_trial(shop: FlaskClient, engine: Engine, small: dict[str, str]) -> None:
    """The small loft has no price list for fleets, which two of the three demo boats ask for."""
    made = sent(shop, small)
    put(shop, made["edition"]["id"], made["last_change"])
    tried = shop.post(f"/v1/tables/{made['edition']['id']}/effect", json={"from_day": WEEK.isoformat()})
    assert (tried.status_code, tried.json["boats"]["looked_at"], tried.json["boats"]["not_looked_at"]) == (200, 1, 0)
    taken_back = shop.post(f"/v1/tables/{engine.key.id}/effect", json={"from_day": WEEK.isoformat()}).json
    assert [each["name"] for each in taken_back["boats"]["changed"]] == list(demo_names())
    assert [bool(each["refused_before"]) for each in taken_back["boats"]["changed"]] == [True, True, False]


def test_an_edition_is_read_with_its_files_and_its_doubts(shop: FlaskClient, engine: Engine, small: dict[str, str]) -> None:
    made = sent(shop, {**small, "tax.csv": small["tax.csv"].replace(",7,", ",0.07,")})
    at = f"/v1/tables/{made['edition']['id']}"
    read = shop.get(f"{at}/files").json
    assert (read["edition"], read["last_change"]) == (made["edition"], made["last_change"])
    assert read["files"].keys() == small.keys()
    assert [name for name in small if read["files"][name] != small[name]] == ["tax.csv"]
    assert made["doubts"]
    assert shop.get(f"{at}/doubts").json == made
    put(shop, made["edition"]["id"], made["last_change"], accept=[each["name"] for each in made["doubts"]])
    assert shop.get(f"{at}/doubts").json["doubts"] == []
    for of in ("/files", "/doubts"):
        assert shop.get(f"/v1/tables/0123456789abcdef-0123456789abcdef{of}").json["code"] == "unknown_edition"


def test_it_is_taken_back_and_of_two_who_decide_at_once_one_is_told(shop: FlaskClient, engine: Engine, small: dict[str, str]) -> None:
    made = sent(shop, small)
    edition, seen = made["edition"]["id"], made["last_change"]
    assert put(shop, edition, seen)["last_change"] == seen + 1
    told = put(shop, edition, seen, 409, by="Asta Lindqvist")
    assert (told["code"], told["errors"][0]["pointer"]) == ("put_meanwhile", "#/seen")
    assert put(shop, engine.key.id, seen + 1)["edition"]["status"] == "in_force"
    statuses = {each["id"]: each["status"] for each in shop.get("/v1/tables").json["editions"]}
    assert statuses == {edition: "past", engine.key.id: "in_force"}


def test_a_repeated_decision_is_carried_out_once(shop: FlaskClient, small: dict[str, str]) -> None:
    made = sent(shop, small)
    first, second = (put(shop, made["edition"]["id"], made["last_change"]) for _ in range(2))
    assert first == second


def test_what_is_doubted_is_refused_until_it_is_accepted_and_then_kept(shop: FlaskClient, quotes: Quotes, small: dict[str, str]) -> None:
    """A rate of 0.19 is a tax written as a share."""
    header, first, *rest = small["tax.csv"].splitlines()
    cells = first.split(",")
    cells[header.split(",").index("rate")] = "0.19"
    made = sent(shop, {**small, "tax.csv": "\n".join([header, ",".join(cells), *rest]) + "\n"})
    (doubt,) = made["doubts"]
    edition, seen = made["edition"]["id"], made["last_change"]
    told = put(shop, edition, seen, 409)
    assert (told["code"], told["errors"][0]["line"], doubt["name"] in told["errors"][0]["detail"]) == ("open_doubts", 2, True)
    told = put(shop, edition, seen, 422, accept=["no/such/doubt", doubt["name"]])
    assert [each["pointer"] for each in told["errors"]] == ["#/accept/0"]
    put(shop, edition, seen, accept=[doubt["name"]], words="so it is, here")
    kept = next(
        content for each in Editions(quotes).newest(9) if each.edition.id == edition and (content := Editions(quotes).content(each.edition))
    )
    assert kept["accepted_doubts.csv"].splitlines()[1] == f'{doubt["name"]},Jo Marsh,{DAY.isoformat()},"so it is, here"'


def test_a_fault_is_told_by_file_line_and_column_and_nothing_is_stored(shop: FlaskClient, small: dict[str, str]) -> None:
    before = shop.get("/v1/tables").json
    wrong = sent(shop, {**small, "pins.csv": small["pins.csv"].replace("invented for tests", "", 1)}, 422)
    (fault,) = wrong["errors"]
    assert (wrong["code"], fault["pointer"], fault["line"], fault["column_name"]) == ("faulty_tables", "#/files/pins.csv", 2, "source")
    assert shop.get("/v1/tables").json == before


def test_of_some_files_without_a_base_it_is_said_that_one_can_be_named(shop: FlaskClient, engine: Engine, small: dict[str, str]) -> None:
    wrong = sent(shop, {"prices.csv": files_of(DEMO_FOLDER)["prices.csv"]}, 422)
    assert [each["pointer"] for each in wrong["errors"] if "no such file" in each["detail"]] == []
    base = wrong["errors"][0]
    assert (wrong["code"], base["pointer"], "prices.csv" in base["detail"]) == ("faulty_tables", "#/base", False)
    assert base["detail"].startswith(
        "Some tables are missing, and without `base` all of them are required. Send edition.csv, wires.csv, terminals.csv,"
    )
    assert base["detail"].endswith(f"such as the one in force, {engine.key.id}.")
    assert {each["pointer"] for each in sent(shop, {**small, "pins.csv": ""}, 422)["errors"]} == {"#/files/pins.csv"}


@pytest.mark.parametrize(
    ("files", "code"),
    [
        ({"../x.csv": "a"}, "not_a_file"),
        ({"/etc/passwd": "a"}, "not_a_file"),
        ({"wires.csv/../../x.csv": "a"}, "not_a_file"),
        ({"x.csv": "a"}, "faulty_tables"),
        ({"prices.csv": 5}, "not_text"),
        ({}, "not_files"),
        ({f"f{'abcdefghij'[at % 10]}{'abcdefghij'[at // 10]}.csv": "" for at in range(41)}, "not_files"),
        ({"prices.csv": "\ud800\u0000,,,\n" * 9}, "faulty_tables"),
        ({"prices.csv": "=cmd|' /C calc'!A0\n"}, "faulty_tables"),
    ],
)
def test_hostile_files_are_refused(shop: FlaskClient, engine: Engine, files: dict[str, Any], code: str) -> None:
    body = json.dumps({"files": files, "base": engine.key.id})
    answer = shop.post("/v1/tables", data=body, content_type="application/json")
    assert answer.status_code in (400, 422)
    assert answer.status_code == 400 or {each["code"] for each in answer.json["errors"]} == {code}


def test_a_body_of_hostile_size_is_refused_before_it_is_read(engine: Engine, quotes: Quotes) -> None:
    client = made_app(engine, quotes, max_body_bytes=1000).test_client()
    assert client.post("/v1/tables", json={"files": {"prices.csv": "x" * 1000}}).status_code == 413


def test_drafts_do_not_pile_up_and_what_was_put_in_force_stays(
    shop: FlaskClient, quotes: Quotes, engine: Engine, small: dict[str, str]
) -> None:
    for number in range(MOST_DRAFTS + 1):
        assert Editions(quotes).keep_draft(Edition(f"{number:016x}", f"{0:016x}"), {}, None)
    last = sent(shop, small)["edition"]["id"]
    found = shop.get("/v1/tables").json["editions"]
    assert [each["status"] for each in found].count("draft") == MOST_DRAFTS
    assert {last, engine.key.id} <= {each["id"] for each in found}
    assert sent(shop, small, 200)["edition"]["id"] == last


@pytest.mark.parametrize(
    ("order", "pointer"),
    [
        ({"from_day": "2026-11-24"}, "#/from_day"),
        ({"from_day": "2026-02-30"}, "#/from_day"),
        ({"by": None}, "#/by"),
        ({"seen": "1"}, "#/seen"),
        ({"accept": []}, "#/accept"),
        ({"when": "now"}, "#/when"),
    ],
)
def test_a_decision_that_cannot_be_read_says_where(shop: FlaskClient, engine: Engine, order: dict[str, Any], pointer: str) -> None:
    told = put(shop, engine.key.id, 1, 422, **order)
    assert [each["pointer"] for each in told["errors"]] == [pointer]


def test_unknown_editions_and_boats_that_cannot_be_read_are_told(shop: FlaskClient, engine: Engine, small: dict[str, str]) -> None:
    none = "0123456789abcdef-0123456789abcdef"
    for answer in (
        shop.get(f"/v1/tables/{none}/difference"),
        shop.post(f"/v1/tables/{none}/effect", json={}),
        shop.post(f"/v1/tables/{none}/in-force", json={"from_day": WEEK.isoformat(), "by": "Jo", "seen": 1}),
        shop.get("/v1/tables/x/difference"),
    ):
        assert (answer.status_code, answer.json["code"]) == (404, "unknown_edition")
    assert sent(shop, small, 422, base=none)["errors"][0]["pointer"] == "#/base"
    answer = shop.get(f"/v1/tables/{engine.key.id}/difference?against={none}")
    assert (answer.status_code, answer.json["errors"][0]["parameter"]) == (422, "against")
    assert shop.get(f"/v1/tables/{engine.key.id}/difference?against={engine.key.id}").json["tables"] == []
    answer = shop.post(f"/v1/tables/{engine.key.id}/effect", json={"boats": [json.loads(demo_request(demo_names()[0])), {}]})
    assert (answer.status_code, [each["pointer"] for each in answer.json["errors"]]) == (422, ["#/boats/1/assemblies"])
