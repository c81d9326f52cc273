"""Fleets by command: a file quoted without a server, and every open quote quoted again."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from openpyxl import load_workbook

from service.cli.bar import Bar, line
from service.storage import Quotes
from service.storage.tables import batches
from tests.batches.fleet import boat, ndjson
from tests.service.conftest import Command
from tests.service.shops import dearer, rewritten, shop


def test_a_file_is_quoted_without_a_server_and_nothing_is_stored(
    command: Command, quotes: Quotes, tmp_path: Path, capsysbinary: Any
) -> None:
    file = tmp_path / "fleet.ndjson"
    file.write_bytes(ndjson(boat("A"), b"{", boat("B", 2), boat("A")))
    assert command("batch", str(file)) == 1  # a line failed
    said = capsysbinary.readouterr()
    found = [json.loads(each) for each in said.out.splitlines()]
    assert [(each["line_number"], each["outcome"]) for each in found] == [(1, "succeeded"), (2, "failed"), (3, "succeeded"), (4, "failed")]
    assert found[0]["quote"]["status"] == "preview"
    assert b"2 quoted, 2 failed" in said.err
    assert quotes.page(1) == []


def test_a_file_is_written_in_each_form_and_says_the_same(command: Command, client: FlaskClient, tmp_path: Path) -> None:
    file = tmp_path / "fleet.json"
    file.write_text(json.dumps([boat("A"), boat("B", 3)]), encoding="utf-8")
    payable = [client.post("/v1/quotes/preview", json=boat(None, count)).json["totals"]["payable"] for count in (1, 3)]
    for name in ("out.ndjson", "out.json", "out.csv", "out.xlsx"):
        assert command("batch", str(file), "--out", str(tmp_path / name)) == 0
    assert [json.loads(each)["quote"]["totals"]["payable"] for each in (tmp_path / "out.ndjson").read_bytes().splitlines()] == payable
    assert [each["quote"]["totals"]["payable"] for each in json.loads((tmp_path / "out.json").read_bytes())] == payable
    table = csv.DictReader(io.StringIO((tmp_path / "out.csv").read_bytes().decode("utf-8-sig")))
    assert [each["payable"] for each in table] == payable
    names, *rows = [[cell.value for cell in row] for row in load_workbook(tmp_path / "out.xlsx")["Results"].iter_rows()]
    assert [f"{row[names.index('payable')]:.2f}" for row in rows] == payable
    assert not list(tmp_path.glob("*.part"))


def test_a_file_that_cannot_be_read_at_all_is_refused_and_nothing_is_written(command: Command, tmp_path: Path, capsys: Any) -> None:
    for name, content, words in (("a.csv", "tag,colour\nP,red", "colour"), ("a.json", "{}", "not a list"), ("a.pdf", "", "ends with")):
        (tmp_path / name).write_text(content, encoding="utf-8")
        assert command("batch", str(tmp_path / name), "--out", str(tmp_path / "out.csv")) == 2
        assert words in capsys.readouterr().err
    (tmp_path / "a.ndjson").write_bytes(ndjson(boat("A")))
    (tmp_path / "empty.ndjson").touch()
    for name, out, words in (
        ("none.csv", "out.csv", "does not exist"),
        ("empty.ndjson", "out.csv", "has no lines"),
        ("a.ndjson", "no/folder.csv", "No such file or directory"),
    ):
        assert command("batch", str(tmp_path / name), "--out", str(tmp_path / out)) == 2
        said = capsys.readouterr().err
        assert words in said
        assert "database" not in said


def test_the_bar_shows_how_far_and_how_long_and_only_to_a_person() -> None:
    assert line(0.25, 30) == "[#######.......................]  25.0 %  1:30 left"  # a quarter took 30 s: three more take 90
    assert line(0.5, 3700).endswith("1:01:40 left")
    assert line(0, 5).startswith("[..............................]   0.0 %")

    class Screen(io.StringIO):
        def isatty(self) -> bool:
            return True

    screen, pipe, shared = Screen(), io.StringIO(), Screen()
    for out in (screen, pipe, shared):
        bar = Bar(4, out, shown=out is not shared)  # where the results themselves run over the screen
        bar.show(1)
        bar.end()
    assert "25.0 %" in screen.getvalue()
    assert pipe.getvalue() == shared.getvalue() == ""


def test_every_open_quote_is_quoted_again_as_a_batch(
    command: Command, client: FlaskClient, quotes: Quotes, tmp_path: Path, capsys: Any
) -> None:
    made = [client.post("/v1/quotes", json=boat(None, 1 + number % 2)).json for number in range(4)]
    assert client.post(f"/v1/quotes/{made[1]['id']}/decline", json={}).status_code == 200
    assert command("quotes", "requote", "--open", "--yes", SERVICE_CATALOGUE=str(dearer(tmp_path / "dear"))) == 0
    said = capsys.readouterr().out
    assert "3 of 3 open quotes quoted again." in said
    assert said.count("Total to pay: ") == 3
    listed = {(each["number"], each["revision"]): each for each in client.get("/v1/quotes").json["quotes"]}
    assert {key: each["status"] for key, each in listed.items()} == {
        ("Q-2026-000001", 1): "superseded", ("Q-2026-000001", 2): "issued",
        ("Q-2026-000002", 1): "declined",
        ("Q-2026-000003", 1): "superseded", ("Q-2026-000003", 2): "issued",
        ("Q-2026-000004", 1): "superseded", ("Q-2026-000004", 2): "issued",
    }  # fmt: skip
    assert float(listed["Q-2026-000001", 2]["payable"]) > float(listed["Q-2026-000001", 1]["payable"])
    with quotes.reading() as connection:
        assert [(each.kind, each.state) for each in connection.execute(batches.select())] == [("requotes", "completed")]


def test_what_would_not_change_is_left_out(command: Command, client: FlaskClient, quotes: Quotes, tmp_path: Path, capsys: Any) -> None:
    """Two boats; only the second has the part whose price is raised."""
    made = [client.post("/v1/quotes", json=boat(None, count)).json for count in (1, 8)]
    bought = [{line["sku"] for line in each["bill_of_materials"] if not line["kept"]} for each in made]
    only = min(bought[1] - bought[0])
    folder = shop(tmp_path / "dear")
    rewritten(folder / "prices.csv", lambda row: {**row, "unit_price": "987.65"} if row["sku"] == only else row)
    before = [(each.number, each.revision) for each in quotes.page(9)]
    assert command("quotes", "requote", "--open", SERVICE_CATALOGUE=str(folder)) == 2
    assert "Of 2 open quotes 1 would change today, 1 would not. Make their next revisions?" in capsys.readouterr().err
    assert [(each.number, each.revision) for each in quotes.page(9)] == before
    assert command("quotes", "requote", "--open", "--yes", SERVICE_CATALOGUE=str(folder)) == 0
    assert "1 of 2 open quotes quoted again. 1 would not change and were left out." in capsys.readouterr().out
    assert sorted((each.number, each.revision) for each in quotes.page(9)) == [*sorted(before), (made[1]["number"], 2)]
    assert command("quotes", "requote", "--open", SERVICE_CATALOGUE=str(folder)) == 0  # nothing is left to ask about
    assert "0 of 2 open quotes quoted again. 2 would not change" in capsys.readouterr().out


def test_with_no_open_quote_there_is_nothing_to_do(command: Command, quotes: Quotes, capsys: Any) -> None:
    assert command("quotes", "requote", "--open") == 0
    assert "0 of 0" in capsys.readouterr().out
    with quotes.reading() as connection:
        assert connection.execute(batches.select()).all() == []


def test_an_open_quote_whose_request_can_no_longer_be_read_is_named_and_the_others_go_on(
    command: Command, client: FlaskClient, tmp_path: Path, capsys: Any
) -> None:
    client.post("/v1/quotes", json=boat(price_list="fleet"))
    client.post("/v1/quotes", json=boat(price_list="retail"))
    folder = dearer(tmp_path / "dear")
    rows = (folder / "price_lists.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "price_lists.csv").write_text("".join(row for row in rows if not row.startswith("fleet,")), encoding="utf-8")
    assert command("quotes", "requote", "--open", "--yes", SERVICE_CATALOGUE=str(folder)) == 2
    said = capsys.readouterr()
    assert "Q-2026-000001:" in said.err
    assert "the shop has: retail, trade" in said.err
    assert "1 of 2 open quotes" in said.err
    assert "Q-2026-000002 revision 2" in said.out


@pytest.mark.parametrize("prefer", ["respond-async", "wait=10, Respond-Async", 'respond-async; x="y"'])
def test_a_quote_that_one_would_rather_not_wait_for_is_a_batch_of_one(app: Any, client: FlaskClient, quotes: Quotes, prefer: str) -> None:
    from tests.batches.fleet import results, worked

    made = client.post("/v1/quotes", json=boat(None, 2), headers={"Prefer": prefer, "Idempotency-Key": "later"})
    assert (made.status_code, made.headers["Preference-Applied"], made.headers["Location"]) == (202, "respond-async", made.json["href"])
    again = client.post("/v1/quotes", json=boat(None, 2), headers={"Prefer": prefer, "Idempotency-Key": "later"})
    assert (again.status_code, again.json["id"]) == (202, made.json["id"])
    worked(app, quotes)
    (found,) = results(client, made)
    assert found["quote"]["payable"] == client.post("/v1/quotes/preview", json=boat(None, 2)).json["totals"]["payable"]
    assert client.post("/v1/quotes", json=boat(None, 2), headers={"Prefer": "wait=10"}).status_code == 201
    assert client.post("/v1/quotes", json={"assemblies": 1}, headers={"Prefer": prefer}).status_code == 422


def test_who_could_not_look_at_the_batch_gets_the_quote_itself(app: Any, quotes: Quotes) -> None:
    from service.credentials.keys import Kind, Scope
    from tests.service.holders import PAGE, bearing, kept_key
    from tests.service.test_access import bare

    page, writer = kept_key(quotes, Kind.PUBLISHABLE, origins=[PAGE]), kept_key(quotes, scopes=[Scope.WRITE])
    for headers in (bearing(page, Origin=PAGE), bearing(writer)):
        assert (
            bare(app).post("/v1/quotes", json=boat(price_list="retail"), headers={**headers, "Prefer": "respond-async"}).status_code == 201
        )
