"""The shelf at the desk: what lies on it, and a count of one piece or by a file."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from flask import Flask

from pricing.catalogue import DEMO_FOLDER
from service.credentials.people import Role
from tests.desk.colleague import Colleague

Json = dict[str, Any]
ONE, FILE = "Count this piece", "Count from the file"
WIRE = "WIRE-1X19-316-3-16IN"
SHEET = (DEMO_FOLDER / "stock.csv").read_text(encoding="utf-8").splitlines()
PIECE = {"id": "OFFCUT-12", "wire": WIRE, "kind": "offcut", "length": "5.2 m", "count": "1", "source": "behind the bench"}


def shelf(desk: Flask) -> dict[str, Json]:
    return {each["id"]: each for each in desk.test_client().get("/v1/stock").json["rows"]}


@pytest.fixture
def bench(desk: Flask) -> Colleague:
    colleague = Colleague(desk, Role.BENCH)
    colleague.go("/desk/stock/count")
    return colleague


def test_the_shelf_is_listed_by_wire_with_its_metres(desk: Flask) -> None:
    """Lengths and counts by the demo shop's file."""
    counter = Colleague(desk, Role.COUNTER)
    counter.go("/desk/stock")
    for line in SHEET[1:]:
        assert line.partition(",")[0] in counter.text
    assert "1X19-316-5-32IN-OFFCUT-1 7620.0 mm 25 ft" in counter.text  # 7.62 m are 25 ft
    assert "43.170 m in all" in counter.text  # 31.4 + 7.62 + 4.15
    assert "/desk/stock/count" not in counter.links()


def test_a_piece_is_counted_counted_again_and_taken_off(desk: Flask, bench: Colleague) -> None:
    before = shelf(desk)
    bench.press(ONE, **PIECE)
    assert "It is counted." in bench.text
    assert shelf(desk) == before | {
        "OFFCUT-12": {**PIECE, "length": {"mm": "5200"}, "count": 1, "price": None, "price_per_metre": "1.75", "touch_cost": None}
    }  # all others of this wire are worth 1.75 a metre by the demo shop's file
    (moved,) = desk.test_client().get("/v1/stock/movements").json["movements"]
    assert (moved["type"], moved["by"]) == ("count", "Benno Benchley")
    bench.go("/desk/stock/count?id=OFFCUT-12")
    bench.press(ONE, length="4,9 m")
    assert shelf(desk)["OFFCUT-12"]["length"] == {"mm": "4900"}
    bench.go("/desk/stock/count?id=OFFCUT-12")
    bench.press(ONE, count="0")
    assert shelf(desk) == before


def test_what_cannot_be_counted_is_refused_and_kept(desk: Flask, bench: Colleague) -> None:
    typed = {**PIECE, "length": '<b>5</b> "m"', "count": "some"}
    assert bench.press(ONE, **typed).status_code == 422
    assert {name: bench.prepared(ONE)[1][name] for name in typed} == typed
    assert "<b>5" not in bench.reply.text
    assert bench.press(ONE, **{**PIECE, "wire": ""}).status_code == 422
    (taken,) = [each for each in shelf(desk).values() if each["wire"] == "WIRE-1X19-316-9-32IN"]
    assert bench.press(ONE, **{**PIECE, "id": taken["id"]}).status_code == 422
    assert "This tag is on another wire" in bench.text
    assert desk.test_client().get("/v1/stock").json["version"] == 0


def test_a_wire_that_the_shelf_does_not_have_asks_what_it_is_worth(desk: Flask, bench: Colleague) -> None:
    other = {**PIECE, "wire": "WIRE-1X19-316-1-16IN"}
    assert WIRE != other["wire"] not in {each["wire"] for each in shelf(desk).values()}
    assert bench.press(ONE, **other).status_code == 422
    assert bench.press(ONE, price="0,90").status_code == 200
    assert shelf(desk)["OFFCUT-12"]["price_per_metre"] == "0.90"


def test_a_count_of_a_shelf_that_moved_since_says_so_and_a_second_press_does_nothing(desk: Flask, bench: Colleague) -> None:
    late = bench.prepared(ONE, **PIECE)
    client = desk.test_client()
    plan = client.post("/v1/cutting-plans", json={"wire": {"sku": WIRE}, "pieces": [{"length": "5 m"}]}).json
    assert client.post(f"/v1/cutting-plans/{plan['id']}/take", json={}).status_code == 200
    assert bench.send(*late).status_code == 409
    assert "The shelf has changed meanwhile" in bench.text
    again = bench.prepared(ONE)
    assert again[1]["length"] == PIECE["length"]
    for _ in range(2):
        assert bench.send(*again).status_code == 200
    assert client.get("/v1/stock").json["version"] == 2


@pytest.mark.parametrize(("others", "many"), [("kept", len(SHEET)), ("gone", 1)])
def test_a_file_is_counted_and_what_is_not_in_it_stays_or_is_gone(desk: Flask, bench: Colleague, others: str, many: int) -> None:
    """As a spreadsheet of a German machine saves it, with semicolons."""
    lines = [SHEET[0], f"OFFCUT-12,{WIRE},offcut,5.2 m,,1.75,1,,counted"]
    sent = "\r\n".join(lines).replace(",", ";").encode("utf-8-sig")
    assert bench.press(FILE, file=(BytesIO(sent), "stock.csv"), others=others).status_code == 200
    assert len(shelf(desk)) == many  # the rows of the demo shop's file and this one, or this one alone
    assert shelf(desk)["OFFCUT-12"]["length"] == {"mm": "5200"}


def test_a_faulty_file_changes_nothing_and_names_the_line(desk: Flask, bench: Colleague) -> None:
    faulty = f"{SHEET[0]}\nOFFCUT-12,{WIRE},offcut,0 m,,1.75,1,,counted\n".encode()
    assert bench.press(FILE, file=(BytesIO(faulty), "stock.csv"), others="gone").status_code == 422
    assert "stock.csv, row 2, column length: found “0 m”;" in bench.text
    assert bench.prepared(FILE)[1]["others"] == "gone"
    assert bench.press(FILE, file=(BytesIO(b""), ""), others="gone").status_code == 422
    assert "No file was chosen" in bench.text
    assert bench.press(FILE, file=(BytesIO(faulty), "stock.csv"), others=None).status_code == 422
    assert desk.test_client().get("/v1/stock").json["version"] == 0


def test_hostile_names_on_the_shelf_are_names(desk: Flask, bench: Colleague) -> None:
    name = '<script>alert("1")</script>'
    bench.press(ONE, **{**PIECE, "id": f"A/{name}", "source": name})
    assert f"A/{name}" in bench.text
    assert "<script>alert" not in bench.reply.text
    bench.go(next(each for each in bench.links() if "script" in each))
    assert bench.prepared(ONE)[1]["id"] == f"A/{name}"
    german = Colleague(desk, Role.OWNER, "de")
    german.go("/desk/stock")
    assert "Draht im Lager" in german.text
    assert "Wire 1x19" not in german.text
