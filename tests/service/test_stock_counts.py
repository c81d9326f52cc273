"""Stock counts over the API, on each database: of the whole shelf or of a piece of it, by the rules of the table and of the command."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from pricing.catalogue import DEMO_FOLDER
from service.engine.engine import Engine
from service.storage import Quotes
from tests.service.conftest import Command, made_app

Json = dict[str, Any]
COUNTS = "/v1/stock/counts"
WIRE = "WIRE-1X19-316-3-16IN"
ONE: Json = {"id": "OFFCUT-12", "wire": WIRE, "kind": "offcut", "length": "5.2 m", "price_per_metre": "1.75", "source": "behind the bench"}
SHEET = (DEMO_FOLDER / "stock.csv").read_text(encoding="utf-8").splitlines()


@pytest.fixture
def shop(engine: Engine, store: Quotes) -> FlaskClient:
    """A client of the application on each database."""
    return made_app(engine, store).test_client()


def rows(client: FlaskClient) -> dict[str, Json]:
    return {each["id"]: each for each in client.get("/v1/stock").json["rows"]}


def text_of(*lines: str) -> str:
    return "\n".join([SHEET[0], *lines, ""])


def test_a_count_is_the_shelf_from_then_on(shop: FlaskClient) -> None:
    before = rows(shop)
    other = {**ONE, "id": "SP-1", "kind": "opened", "length": "31 ft 4 1/2 in", "count": 2, "touch_cost": "3.00"}
    moved = shop.post(COUNTS, json={"rows": [ONE, other], "by": "bench two", "note": "The long tape."}).json
    after = rows(shop)
    assert sorted(after) == ["OFFCUT-12", "SP-1"]
    assert after["OFFCUT-12"] == {**ONE, "length": {"mm": "5200"}, "price": None, "count": 1, "touch_cost": None}
    assert (after["SP-1"]["length"], after["SP-1"]["count"], after["SP-1"]["touch_cost"]) == ({"mm": "9563.1"}, 2, "3.00")  # 376.5 in
    assert (moved["type"], moved["by"], moved["note"], moved["version"]) == ("count", "bench two", "The long tape.", 1)
    assert {each["id"] for each in moved["removed"]} == set(before)
    assert moved["added"] == [after["OFFCUT-12"], after["SP-1"]]
    assert shop.get("/v1/stock/movements").json["movements"][0]["id"] == moved["id"]


def test_one_piece_is_counted_by_itself_counted_again_and_taken_off(shop: FlaskClient) -> None:
    before = rows(shop)
    for length, mm in (("5.2 m", "5200"), ("4.9 m", "4900")):
        shop.post(COUNTS, json={"rows": [{**ONE, "length": length}], "others": "kept"})
        assert rows(shop).pop("OFFCUT-12")["length"] == {"mm": mm}
        assert {name: each for name, each in rows(shop).items() if name != "OFFCUT-12"} == before
    moved = shop.post(COUNTS, json={"rows": [{**ONE, "count": 0}], "others": "kept"}).json
    assert rows(shop) == before
    assert ([each["id"] for each in moved["removed"]], moved["added"]) == (["OFFCUT-12"], [])


def test_a_file_is_taken_by_the_rules_and_in_the_words_of_the_command(
    client: FlaskClient, command: Command, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    faulty = text_of(*SHEET[1:3], f"SHORT,{WIRE},offcut,0 m,,1.75,1,,counted", "STRANGE,NO-SUCH,offcut,5 m,,1.75,1,,counted")
    (tmp_path / "stock.csv").write_text(faulty, encoding="utf-8")
    assert command("stock", "count", str(tmp_path / "stock.csv"), "--yes") == 2
    said = capsys.readouterr().err
    refused = client.post(COUNTS, json={"file": faulty})
    assert refused.status_code == 422
    assert [(each["code"], each["pointer"], each["line"], each["column_name"]) for each in refused.json["errors"]] == [
        ("faulty_tables", "#/file", 4, "length"),
        ("faulty_tables", "#/file", 5, "wire"),
    ]
    for each in refused.json["errors"]:
        assert each["detail"].removeprefix("stock.csv") in said
    assert client.get("/v1/stock").json["version"] == 0
    assert client.post(COUNTS, json={"file": text_of(*SHEET[1:3])}).status_code == 200
    assert sorted(rows(client)) == sorted(line.partition(",")[0] for line in SHEET[1:3])
    assert client.post(COUNTS, json={"file": text_of(f"X-1,{WIRE},offcut,5 m,,1.75,1,,counted"), "others": "kept"}).status_code == 200
    assert sorted(rows(client)) == sorted(["X-1", *(line.partition(",")[0] for line in SHEET[1:3])])


@pytest.mark.parametrize(
    ("change", "place", "code"),
    [
        ({"wire": "NO-SUCH"}, "/0/wire", "unknown_wire"),
        ({"wire": "TEE-SW-3-16IN"}, "/0/wire", "unknown_wire"),
        ({"id": "1X19-316-3-16IN-1000FT"}, "/0/id", "id_of_a_spool"),
        ({"price": "9.00"}, "/0/price", "price_unclear"),
        ({"price_per_metre": "1.755"}, "/0/price_per_metre", "too_many_decimals"),
        ({"length": "0 m"}, "/0/length", "not_positive"),
        ({"length": "long"}, "/0/length", "not_a_length"),
        ({"count": -1}, "/0/count", "not_a_count"),
        ({"kind": "scrap"}, "/0/kind", "not_accepted"),
        ({"source": " "}, "/0/source", "length"),
    ],
)
def test_a_row_that_the_table_would_refuse_is_refused(client: FlaskClient, change: Json, place: str, code: str) -> None:
    answer = client.post(COUNTS, json={"rows": [{**ONE, **change}]})
    assert (answer.status_code, [(each["pointer"], each["code"]) for each in answer.json["errors"]]) == (422, [(f"#/rows{place}", code)])
    assert client.get("/v1/stock").json["version"] == 0


def test_equal_ids_and_neither_rows_nor_file_or_both_are_refused(client: FlaskClient) -> None:
    codes = [
        [each["code"] for each in client.post(COUNTS, json=body).json["errors"]]
        for body in ({"rows": [ONE, ONE]}, {}, {"rows": [ONE], "file": text_of()}, {"rows": [ONE], "others": "lost"})
    ]
    assert codes == [["repeated_id"], ["rows_or_file"], ["rows_or_file"], ["not_accepted"]]


def test_a_count_of_a_shelf_that_moved_since_is_refused_even_at_the_same_moment(shop: FlaskClient) -> None:
    def count(name: str) -> int:
        order = {"rows": [{**ONE, "id": name}], "others": "kept", "seen": 0}
        return shop.application.test_client().post(COUNTS, json=order).status_code

    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(count, ("A-1", "A-2", "A-3", "A-4")))
    assert sorted(answers) == [200, 409, 409, 409]
    late = shop.post(COUNTS, json={"rows": [ONE], "seen": 0})
    assert (late.status_code, late.json["errors"][0]["code"], late.json["errors"][0]["pointer"]) == (409, "moved_meanwhile", "#/seen")
    assert shop.get("/v1/stock").json["version"] == 1
    assert shop.post(COUNTS, json={"rows": [ONE], "seen": 1}).status_code == 200


def test_a_count_is_carried_out_once_by_its_key(shop: FlaskClient) -> None:
    answers = [shop.post(COUNTS, json={"rows": [ONE]}, headers={"Idempotency-Key": "a-count"}).json for _ in range(3)]
    assert answers[0] == answers[1] == answers[2]
    assert shop.get("/v1/stock").json["version"] == 1


def test_a_plan_cuts_from_what_was_counted(shop: FlaskClient) -> None:
    shop.post(COUNTS, json={"rows": [{**ONE, "length": "5.2 m"}]})
    wanted = {"wire": {"sku": WIRE}, "pieces": [{"length": "5.1 m"}]}
    assert shop.post("/v1/cutting-plans", json=wanted).json["wires"][0]["uses"][0]["object"] == "OFFCUT-12"
