"""A shop's own tables: checked whole, loaded from a day on, replaced while workers run; a bad table never replaces a good one."""

from __future__ import annotations

import gzip
import logging
import threading
import time
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import update

from service.engine.catalogues import LOOK_SECONDS, Catalogues, files_of
from service.engine.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Edition, Editions, Quotes
from service.storage.tables import editions
from tests.service.conftest import DAY, Command, made_app
from tests.service.shops import dearer, shop

SETTINGS = Settings(today=DAY)
HEADER = "sku,unit,from_quantity,unit_price,source\n"


def snapshot(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_folder_is_checked_and_named_by_its_versions(command: Command, engine: Engine, tmp_path: Path, capsys: Any) -> None:
    assert command("catalogue", "check", str(shop(tmp_path / "shop"))) == 0
    assert engine.key.prices in capsys.readouterr().out
    assert command("catalogue", "check", str(tmp_path / "none")) == 2


def test_one_broken_row_in_five_thousand_is_named_and_nothing_is_loaded(
    command: Command, quotes: Quotes, tmp_path: Path, capsys: Any
) -> None:
    folder = shop(tmp_path / "shop")
    rows = (folder / "prices.csv").read_text(encoding="utf-8").splitlines()
    dated = [row.replace(",2026-", ",2031-") for row in rows[1:]]
    many = [*rows, *dated, *(row.replace(",2031-", ",2032-") for row in dated)][:5001]
    assert len(many) == 5001
    (folder / "prices.csv").write_text("\n".join(many) + "\n", encoding="utf-8")
    assert command("catalogue", "load", "--yes", SERVICE_CATALOGUE=str(folder)) == 0
    good = Editions(quotes).current()
    place = next(
        at for at in range(3456, 5001) if many[at].split(",")[3] not in ("0", "1")
    )  # no first step, which its article could not lack
    many[place] = many[place].replace(many[place].split(",")[4], "12,50", 1)
    (folder / "prices.csv").write_text("\n".join(many) + "\n", encoding="utf-8")
    for arguments in (("catalogue", "check", str(folder)), ("catalogue", "load")):
        assert command(*arguments) == 2
        assert f"prices.csv:{place + 1}" in (said := capsys.readouterr().err)
        assert "1 fault(s)" in said
    assert Editions(quotes).current() == good


def test_prices_are_added_from_a_day_on_and_count_from_it(command: Command, quotes: Quotes, tmp_path: Path, demo: dict[str, Any]) -> None:
    folder = shop(tmp_path / "shop")
    wire = "WIRE-1X19-316-3-16IN"
    before = (folder / "prices.csv").read_text(encoding="utf-8")
    breaks = ((0, "3.99"), (50, "3.88"), (200, "3.77"))
    (tmp_path / "more.csv").write_text(
        HEADER + "".join(f"{wire},m,{quantity},{price},the loft's list\n" for quantity, price in breaks), encoding="utf-8"
    )
    assert command("prices", "load", str(tmp_path / "more.csv"), "--from", "2026-12-01", "--yes", SERVICE_CATALOGUE=str(folder)) == 0
    assert (folder / "prices.csv").read_text(encoding="utf-8") == before + "".join(
        f"{wire},m,2026-12-01,{quantity},{price},the loft's list\n" for quantity, price in breaks
    )
    loaded = engine_of(folder, SETTINGS)
    assert Editions(quotes).current() == loaded.key
    for day, expected in ((DAY, False), (DAY.replace(month=12, day=1), True)):
        made = made_app(replace(loaded, today=lambda day=day: day), quotes).test_client().post("/v1/quotes", json=demo).json
        (price,) = {line["unit_price"] for line in made["lines"] if line["sku"] == wire and line["group"] == "wire"}
        assert (price == "3.99") is expected


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            f"{HEADER}WIRE-1X19-316-3-16IN,m,0,9.00,list\nWIRE-1X19-316-3-16IN,m,50,nine,list\n",
            "more.csv, row 3, column D 'unit_price': 'nine'",
        ),
        (f"{HEADER}NO-SUCH,m,0,9.00,list\n", "more.csv, row 2, column A 'sku': 'NO-SUCH'"),
        (f"{HEADER}WIRE-1X19-316-3-16IN,m,0,9.00\n", "more.csv, row 2, column E 'source': 'a blank cell'"),
        ("sku,price\nX,1\n", "the header lacks unit and from_quantity and unit_price"),
        ("", "more.csv: the file is empty"),
    ],
)
def test_bad_prices_leave_folder_and_database_as_they_were(
    command: Command, quotes: Quotes, tmp_path: Path, capsys: Any, content: str, said: str
) -> None:
    folder = shop(tmp_path / "shop")
    before = snapshot(folder)
    (tmp_path / "more.csv").write_text(content, encoding="utf-8")
    load = ("prices", "load", str(tmp_path / "more.csv"), "--from", "2026-12-01", "--yes")
    assert command(*load, SERVICE_CATALOGUE=str(folder)) == 2
    assert said in capsys.readouterr().err
    assert (snapshot(folder), Editions(quotes).current()) == (before, None)


def test_prices_need_a_folder_of_ones_own_and_a_day_to_come(command: Command, tmp_path: Path, capsys: Any) -> None:
    (tmp_path / "more.csv").write_text(HEADER, encoding="utf-8")
    assert command("prices", "load", str(tmp_path / "more.csv"), "--from", "2026-12-01", "--yes") == 2
    assert "SERVICE_CATALOGUE" in capsys.readouterr().err
    folder = str(shop(tmp_path / "shop"))
    for day, said in (("2026-11-24", "past"), ("tomorrow", "YYYY-MM-DD")):
        assert command("prices", "load", str(tmp_path / "more.csv"), "--from", day, SERVICE_CATALOGUE=folder) == 2
        assert said in capsys.readouterr().err


def settled(catalogues: Catalogues, wanted: Edition) -> None:
    until = time.monotonic() + 180
    while catalogues.current().key != wanted and time.monotonic() < until:
        time.sleep(0.02)
    for thread in threading.enumerate():
        if thread.name == "tables":
            thread.join(30)
    assert catalogues.current().key == wanted


def test_tables_put_in_force_are_taken_up_by_a_running_process_and_no_request_is_lost(
    quotes: Quotes, engine: Engine, tmp_path: Path, demo: dict[str, Any]
) -> None:
    app = made_app(engine, quotes)
    stop, answers = threading.Event(), []

    def ask() -> None:
        client = app.test_client()
        while not stop.is_set():
            answer = client.post("/v1/quotes", json=demo)
            answers.append((answer.status_code, answer.json["provenance"]["price_table"], answer.json["totals"]["payable"]))

    asking = [threading.Thread(target=ask) for _ in range(3)]
    for thread in asking:
        thread.start()
    changed = engine_of(dearer(tmp_path / "dear"), SETTINGS)
    Editions(quotes).put_in_force(changed.key, files_of(tmp_path / "dear"))
    settled(app.extensions["catalogues"], changed.key)
    until = time.monotonic() + 180
    while not any(version == changed.key.prices for _, version, _ in answers) and time.monotonic() < until:
        time.sleep(0.02)
    stop.set()
    for thread in asking:
        thread.join()
    assert {status for status, _, _ in answers} == {201}
    totals = {version: {total for _, each, total in answers if each == version} for version in (engine.key.prices, changed.key.prices)}
    assert all(len(each) == 1 for each in totals.values()), totals
    assert totals[engine.key.prices] != totals[changed.key.prices]


def test_tables_that_cannot_be_used_never_take_the_place_of_good_ones(
    quotes: Quotes, engine: Engine, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    catalogues = Catalogues(SETTINGS, Editions(quotes), engine)
    bad = files_of(shop(tmp_path / "bad"))
    bad["pins.csv"] = bad["pins.csv"].replace("invented demo data", "", 1)
    Editions(quotes).put_in_force(Edition("bad", "bad"), bad)
    with caplog.at_level(logging.ERROR, "service"):
        catalogues.refresh()
        catalogues.refresh()
    assert catalogues.current() is engine
    assert [record.message.count("pins.csv:2") for record in caplog.records] == [1]


@pytest.mark.parametrize(
    "content",
    [b"no gzip", b"", gzip.compress(b"[1"), gzip.compress(b"{}")[:-9], gzip.compress(b"{}")[:10] + b"\xff" * 9],
    ids=["no gzip", "empty", "no JSON", "cut", "noise"],  # gzip writes the time, and processes beside each other must name tests alike
)
def test_tables_damaged_in_the_database_are_told_and_the_good_ones_stay(
    quotes: Quotes, engine: Engine, caplog: pytest.LogCaptureFixture, content: bytes
) -> None:
    catalogues, wanted = Catalogues(SETTINGS, Editions(quotes), engine), Edition("torn", "torn")
    Editions(quotes).put_in_force(wanted, {})
    with quotes.writing() as connection:
        connection.execute(update(editions).where(editions.c.catalogue_version == "torn").values(content=content))
    with caplog.at_level(logging.ERROR, "service"):
        catalogues.refresh()
        catalogues.refresh()
    assert catalogues.current() is engine
    assert [record.message.count("damaged") for record in caplog.records] == [1]


def test_a_process_looks_once_a_second_and_less_where_the_database_is_gone(engine: Engine, tmp_path: Path) -> None:
    now, looks = [0.0], []

    class Counting(Editions):
        def near(self, day: date) -> tuple[Edition | None, Edition | None]:
            looks.append(now[0])
            return super().near(day)

    catalogues = Catalogues(SETTINGS, Counting(Quotes(f"sqlite:///{tmp_path}/none/q.sqlite3")), engine, lambda: now[0])
    for tenth in range(400):
        now[0] = tenth / 10
        assert catalogues.current() is engine
    assert looks == [LOOK_SECONDS, LOOK_SECONDS + 15, LOOK_SECONDS + 30]
