"""Each bad cell is named: by its row, its field and its cell, with what was written and what to write instead."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.engine.engine import Engine
from service.storage import Quotes
from tests.counts import some_of
from tests.measuring_sheet.filling import ENGLISH, GERMAN, NEW, WHOLE, blank, cell_of, faults, sent, table, text, workbook
from tests.service.conftest import made_app

SETTING = "turnbuckle.setting.upper_exposed"


@pytest.fixture(scope="module")
def sheet(engine: Engine, empty_file: Path) -> Iterator[bytes]:
    store = Quotes(f"sqlite:///{empty_file}")
    yield blank(made_app(engine, store).test_client())
    store.close()


BAD_CELLS: list[tuple[str, Any, str, str]] = [
    ("measurement.readings.1", "11 16 in", "lost_slash", "11/16"),
    ("measurement.readings.2", "9558", "bare_number", "unit"),
    ("measurement.readings.1", 9558, "bare_number", "9558 mm"),
    ("measurement.readings.1", "9,568 mm", "ambiguous_comma", "9568"),
    ("measurement.readings.2", "a bit more than 9 m", "not_a_length", "31 ft"),
    (SETTING, datetime(2026, 3, 8), "date", "3/8 in"),  # noqa: DTZ001  # what a spreadsheet makes of 3/8
    (SETTING, "8. Mrz", "date", "3/8 in"),  # ... and saves as CSV, in German
    (SETTING, "08-Mar", "date", "3/8 in"),
    (SETTING, "2026-03-08", "date", "3/8 in"),
    ("tag", datetime(2026, 2, 1), "date", "text"),  # noqa: DTZ001  # of 1-2
    (SETTING, "=B2+C2", "formula", "value"),
    ("tag", "=A1", "formula", "value"),
    (SETTING, "#REF!", "error_value", "value"),
    ("role", "Cap shrout", "not_accepted", "'Cap shroud'"),
    ("upper.terminal", "hook", "not_accepted", "'Fork'"),
    ("turnbuckle.reuse", "perhaps", "not_accepted", "'Yes'"),
    ("lower.old_pin", "M8", "not_a_length", "mm"),
    ("measurement.temperature", "18", "not_a_temperature", "degC"),
    ("quantity", "two", "not_a_count", "whole number"),
    ("wire.construction", "3x3", "not_accepted", "7x19"),
    ("note", "bell\x07".replace("\x07", "\u200b"), "not_printable", "control"),
]


def test_a_bad_cell_is_named_with_what_to_write(client: FlaskClient) -> None:
    """Each in a row of its own below one that is right: one fault a row, at its own cell."""
    bad = some_of(BAD_CELLS, 10)
    rows = [{**ENGLISH, "tag": f"CAP-{place}", name: written} for place, (name, written, _, _) in enumerate(bad)]
    sheet = blank(client, assemblies=len(rows) + 1)
    errors = sent(client, workbook(sheet, WHOLE, [{**ENGLISH, "tag": "CAP-S"}, *rows])).json["errors"]
    assert len(errors) == len(bad)
    told = {each["cell"]: each for each in errors}
    for place, (name, _, code, remedy) in enumerate(bad):
        fault = told[cell_of(sheet, name, place + 2)]
        assert fault["column_name"] == name
        assert str(fault["row"]) == fault["cell"].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
        assert fault["code"] == code, name
        assert remedy in fault["detail"], name
        assert fault["written"]


def test_a_setting_of_one_screw_alone_is_reported_at_the_other(client: FlaskClient, sheet: bytes) -> None:
    row = {name: value for name, value in ENGLISH.items() if name != SETTING}
    answer = sent(client, workbook(sheet, {}, [row]))
    assert faults(answer) == [(cell_of(sheet, SETTING), "required")]
    assert "before anything is unscrewed" in answer.json["errors"][0]["detail"]


def test_no_setting_at_all_is_a_finding_at_its_cell_and_the_wire_on_hold(client: FlaskClient, sheet: bytes) -> None:
    row = {name: value for name, value in ENGLISH.items() if not name.startswith("turnbuckle.setting")}
    answer = sent(client, workbook(sheet, {}, [row]))
    assert answer.status_code == 200, answer.json
    (stop,) = [each for each in answer.json["findings"] if each["severity"] == "stop"]
    assert stop["cell"] == cell_of(sheet, SETTING)
    assert stop["code"] == "setting-missing"


def test_a_pin_of_a_wrong_kind_is_a_finding_at_its_cell(client: FlaskClient, sheet: bytes) -> None:
    answer = sent(client, workbook(sheet, {}, [{**ENGLISH, **NEW, "turnbuckle.pin": "9 mm"}])).json
    (stop,) = [each for each in answer["findings"] if each["severity"] == "stop"]
    assert (stop["cell"], stop["written"]) == (cell_of(sheet, "turnbuckle.pin"), "9 mm")
    (fault,) = sent(client, workbook(sheet, {}, [{**ENGLISH, "turnbuckle.pin": "thick"}])).json["errors"]
    assert (fault["cell"], fault["code"]) == (cell_of(sheet, "turnbuckle.pin"), "not_a_length")


def test_whether_there_is_a_turnbuckle_is_not_guessed(client: FlaskClient, sheet: bytes) -> None:
    without = {name: value for name, value in ENGLISH.items() if not name.startswith("turnbuckle")}
    without.pop("measurement.includes_turnbuckle")
    assert faults(sent(client, workbook(sheet, {}, [without]))) == [(cell_of(sheet, "turnbuckle_is"), "required")]
    answer = sent(client, workbook(sheet, {}, [{**without, "turnbuckle": "no"}]))
    assert "turnbuckle" not in answer.json["request"]["assemblies"][0]
    assert faults(sent(client, workbook(sheet, {}, [{**without, "turnbuckle": "no", "turnbuckle.body": "open"}]))) == [
        (cell_of(sheet, "turnbuckle.body"), "no_turnbuckle")
    ]
    assert faults(sent(client, workbook(sheet, {}, [{**without, "turnbuckle": "yes"}]))) == [(cell_of(sheet, "turnbuckle_is"), "required")]


def test_every_fault_is_reported_at_once_in_the_order_of_the_sheet(client: FlaskClient, sheet: bytes) -> None:
    rows = [
        {**ENGLISH, "side": "left", SETTING: "11 16", "measurement.readings.1": None},
        {**ENGLISH, "role": None, "wire.diameter": "thick"},
    ]
    assert faults(sent(client, workbook(sheet, {"boat.length_overall": "27"}, rows))) == [
        (cell_of(sheet, "boat.length_overall", block="request"), "bare_number"),
        (cell_of(sheet, SETTING), "bare_number"),
        (cell_of(sheet, "measurement.readings.1"), "gap"),
        (cell_of(sheet, "side"), "not_accepted"),  # among the columns that are folded away, to the right
        (cell_of(sheet, "tag", 2), "duplicate_tag"),
        (cell_of(sheet, "place", 2), "required"),
        (cell_of(sheet, "wire.diameter", 2), "not_a_length"),
    ]


def test_a_wire_with_only_a_tag_is_reported_with_what_it_lacks(client: FlaskClient, sheet: bytes) -> None:
    wanted = ["place", "turnbuckle_is", "wire_kind", "upper.terminal", "lower.terminal", "measurement.readings.1"]
    assert faults(sent(client, workbook(sheet, {}, [{"tag": "X"}]))) == [(cell_of(sheet, name), "required") for name in wanted]


def test_the_sheet_itself_speaks_the_language_asked_for(client: FlaskClient) -> None:
    sheet = blank(client, lang="de")
    answer = sent(client, workbook(sheet, {}, [{**GERMAN, "side": "links"}]), language="de")
    (fault,) = answer.json["errors"]
    assert fault["label"] == "Bevor Sie ihn abnehmen: Auf welcher Seite des Bootes?"
    assert fault["detail"] == "Schreiben Sie eines von: 'Backbord (links)', 'Steuerbord (rechts)', 'Mittschiffs'."


@pytest.mark.parametrize("below", some_of([0, 1, 3], 2))
def test_a_wire_written_over_the_sheets_own_rows_is_not_passed_over(client: FlaskClient, below: int) -> None:
    """Who has one wire more than the sheet has rows writes it into the next: of the pictures, or of the notes below them."""
    sheet = blank(client, assemblies=2)
    over = [{**ENGLISH, "tag": f"W{number}"} for number in range(2)] + [{}] * below + [{**ENGLISH, "tag": "one more"}]
    found = sent(client, workbook(sheet, WHOLE, over)).json["errors"]
    told = next(each for each in found if each["cell"] == cell_of(sheet, "tag", 3 + below))
    assert (told["code"], told["written"]) == ("notes_row", "one more")
    assert "insert a row above the pictures" in told["detail"]


def test_nothing_written_is_passed_over_in_silence(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv", assemblies=2), WHOLE, [ENGLISH], ",")
    width = len(rows[0])
    first = next(number for number, row in enumerate(rows) if row[0] == "request")
    at = next(number for number, row in enumerate(rows) if row[0] == "assembly")
    rows[at + 1] += ["", "beside the sheet"]
    rows.insert(first + 2, ["", "a second boat", *[""] * (width - 2)])
    rows.insert(0, ["", "above", *[""] * (width - 2)])
    rows[at + 2][7:7] = ["wrong_name"]  # all names behind it move on
    rows.append(["#", "a remark"])
    found = faults(sent(client, text(rows).encode(), "text/csv"))
    assert ("B1", "stray") in found
    assert (f"B{first + 4}", "second_row") in found
    assert (f"H{at + 3}", "unknown_column") in found
    assert {code for cell, code in found if cell and cell.endswith(f"{at + 4}")} >= {"no_column"}
    assert not [cell for cell, _ in found if cell == f"B{len(rows)}"]


def test_names_that_stand_twice_or_in_the_wrong_block_are_reported(client: FlaskClient) -> None:
    body = b"request,boat.name,tag\r\n,Tern,\r\nassembly,tag,tag,boat.name\r\n1,P,,\r\nassembly,tag\r\n"
    found = faults(sent(client, body, "text/csv"))
    assert {("C1", "other_block"), ("C3", "duplicate_column"), ("D3", "other_block")} <= set(found)
    assert (None, "duplicate_heading") in found


def test_an_empty_sheet_says_that_it_names_no_wire(client: FlaskClient, sheet: bytes) -> None:
    (fault,) = sent(client, sheet).json["errors"]
    assert (fault["code"], fault["row"]) == ("no_wire", 9)


def test_a_row_that_is_not_in_its_charset_is_reported(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv"), {}, [{**ENGLISH, "note": "Grüße"}], ",")
    (fault,) = sent(client, text(rows).encode("latin-1"), "text/csv").json["errors"]
    assert (fault["code"], "UTF-8" in fault["detail"]) == ("charset", True)


def test_an_unknown_price_list_stands_at_its_cell(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv"), WHOLE, [ENGLISH], ",")
    at = next(number for number, row in enumerate(rows) if row[0] == "request")
    place = rows[at].index("")
    rows[at][place], rows[at + 1][place] = "price_list", "friends"
    assert [code for _, code in faults(sent(client, text(rows).encode(), "text/csv"))] == ["unknown_price_list"]
