"""A sheet downloaded, filled in as a person would, and sent back asks for what that person means: README's example, written by hand in filling.py."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

import openpyxl
import pytest
from flask.testing import FlaskClient

from tests.measuring_sheet.filling import ENGLISH, GERMAN, MEANT, WHOLE, blank, cell_of, downloaded, sent, table, text, workbook

WRITTEN = {"en": ENGLISH, "de": GERMAN}


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_workbook_asks_for_what_is_written_in_it(client: FlaskClient, language: str) -> None:
    sheet = blank(client, format="xlsx", lang=language)
    answer = sent(client, workbook(sheet, WHOLE, [WRITTEN[language]]))
    assert answer.status_code == 200, answer.json
    assert answer.json["request"] == MEANT | {"language": "en"}
    assert answer.json["assumptions"] == []
    assert client.post("/v1/quotes/preview", json=answer.json["request"]).status_code == 200


@pytest.mark.parametrize(("language", "delimiter"), [("en", ","), ("de", ";")])
@pytest.mark.parametrize(("saved", "encoding"), [(",", "utf-8"), (";", "utf-8-sig"), ("\t", "utf-16"), (";", "utf-16")])
def test_a_csv_asks_for_what_is_written_in_it_however_a_spreadsheet_saves_it(
    client: FlaskClient, language: str, delimiter: str, saved: str, encoding: str
) -> None:
    rows = table(blank(client, format="csv", lang=language), WHOLE, [WRITTEN[language]], delimiter)
    answer = sent(client, text(rows, saved).encode(encoding), "text/csv")
    assert answer.status_code == 200, answer.json
    assert answer.json["request"] == MEANT | {"language": "en"}


def test_decimal_commas_are_read_as_they_are_written(client: FlaskClient) -> None:
    metric = {
        **GERMAN,
        "turnbuckle.setting.upper_exposed": "28,5 mm",
        "measurement.readings.1": "9,098 m",
        "measurement.readings.2": "9098,5 mm",
    }
    rows = table(blank(client, format="csv", lang="de"), {}, [metric], ";")
    answer = sent(client, text(rows, ";").encode("utf-16"), "text/csv")
    assert answer.status_code == 200, answer.json
    said = {each["column_name"]: each["length"]["mm"] for each in answer.json["lengths"]}
    assert said["turnbuckle.setting.upper_exposed"] == "28.5"
    assert said["measurement.readings.1"] == "9098"
    assert said["measurement.readings.2"] == "9098.5"


def test_each_length_is_told_in_both_units_at_its_cell(client: FlaskClient) -> None:
    sheet = blank(client)
    answer = sent(client, workbook(sheet, {}, [ENGLISH])).json
    exposed = next(each for each in answer["lengths"] if each["pointer"] == "/assemblies/0/turnbuckle/setting/upper_exposed")
    assert exposed["cell"] == cell_of(sheet, "turnbuckle.setting.upper_exposed")
    assert exposed["length"] == {"mm": "28.575", "metric": "28.6 mm", "imperial": "1 1/8 in"}  # 1.125 in x 25.4 mm (NIST SP 811)
    assert exposed["label"].endswith("Thread showing at the upper screw")


def test_empty_rows_are_left_out_and_every_wire_keeps_its_row(client: FlaskClient) -> None:
    sheet = blank(client, assemblies=5)
    answer = sent(client, workbook(sheet, {}, [ENGLISH, {}, {}, {**ENGLISH, "tag": "CAP-S", "side": "starboard"}])).json
    assert [each["tag"] for each in answer["request"]["assemblies"]] == ["CAP-P", "CAP-S"]
    second = [each for each in answer["lengths"] if each["pointer"].startswith("/assemblies/1/")]
    assert {each["row"] for each in second} == {answer["lengths"][0]["row"] + 3}


def test_the_only_choice_that_the_tables_leave_is_used_and_reported(client: FlaskClient) -> None:
    # a 3/8-24 UNF stud with a right-hand thread in an open body with a toggle below: the demo tables have it with a 3/8 in pin alone
    rows = {name: value for name, value in ENGLISH.items() if name not in ("turnbuckle.pin", "turnbuckle.hand")}
    sheet = blank(client)
    answer = sent(client, workbook(sheet, WHOLE, [rows])).json
    assert answer["request"] == MEANT | {"language": "en"}
    assert {(each["code"], each["cell"]) for each in answer["assumptions"]} == {
        ("only_choice", cell_of(sheet, "turnbuckle.pin")),
        ("only_choice", cell_of(sheet, "turnbuckle.hand")),
    }


def test_plain_numbers_get_the_unit_that_the_sheet_names_and_are_reported(client: FlaskClient) -> None:
    sheet = blank(client)
    row = {
        **ENGLISH,
        "turnbuckle.setting.upper_exposed": 1.125,
        "turnbuckle.setting.lower_exposed": "1 1/16",
        "measurement.readings.1": 358.25,
    }
    assert [each for each, _ in _faults_of_no_unit(client, workbook(sheet, {}, [row]))] == [
        cell_of(sheet, "turnbuckle.setting.upper_exposed"),
        cell_of(sheet, "turnbuckle.setting.lower_exposed"),
        cell_of(sheet, "measurement.readings.1"),
    ]
    answer = sent(client, workbook(sheet, {"plain_numbers": "Inches (in)"}, [row]))
    assert answer.status_code == 200, answer.json
    taken = answer.json["request"]["assemblies"][0]
    assert taken["turnbuckle"]["setting"]["upper_exposed"] == "1.125 in"
    assert taken["turnbuckle"]["setting"]["lower_exposed"] == "1 1/16 in"
    assert [each["cell"] for each in answer.json["assumptions"] if each["code"] == "unit_assumed"] == [
        cell_of(sheet, "turnbuckle.setting.upper_exposed"),
        cell_of(sheet, "turnbuckle.setting.lower_exposed"),
        cell_of(sheet, "measurement.readings.1"),
    ]


def _faults_of_no_unit(client: FlaskClient, body: bytes) -> list[tuple[str, str]]:
    answer = sent(client, body)
    assert answer.status_code == 422
    return [(each["cell"], each["code"]) for each in answer.json["errors"] if each["code"] == "bare_number"]


def test_a_plain_number_with_two_readings_is_refused_though_the_sheet_names_a_unit(client: FlaskClient) -> None:
    sheet = blank(client)
    answer = sent(client, workbook(sheet, {"plain_numbers": "mm"}, [{**ENGLISH, "measurement.readings.1": "9,098"}]))
    (fault,) = answer.json["errors"]
    assert (fault["cell"], fault["code"]) == (cell_of(sheet, "measurement.readings.1"), "ambiguous_comma")
    assert "9098 mm" in fault["detail"]


def test_a_field_that_the_form_does_not_ask_for_may_have_a_column_of_its_own(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv"), {}, [ENGLISH], ",")
    at = next(number for number, row in enumerate(rows) if row[0] == "assembly")
    rows[at].append("measurement.tape_class")
    rows[at + 1].append("I")
    answer = sent(client, text(rows).encode(), "text/csv")
    assert answer.json["request"]["assemblies"][0]["measurement"]["tape_class"] == "I"


@pytest.mark.parametrize("name", ["=cmd()", "@SUM(1)", "عمر بن الخطاب", "渡辺 美智子", "Søren O'Brien", "'quoted'"])
def test_a_name_is_taken_as_it_is_written(client: FlaskClient, name: str) -> None:
    rows = table(blank(client, format="csv"), {"customer.name": name}, [ENGLISH], ",")
    assert sent(client, text(rows).encode(), "text/csv").json["request"]["customer"] == {"name": name}


def test_equal_questions_get_equal_bytes(client: FlaskClient) -> None:
    for form in ("xlsx", "csv"):
        one, same, other = (downloaded(client, format=form, lang="de", units=units) for units in ("imperial", "imperial", "metric"))
        assert one == same
        assert one != other


def test_a_downloaded_workbook_has_what_a_rigger_needs_of_it(client: FlaskClient) -> None:
    book = openpyxl.load_workbook(io.BytesIO(blank(client, lang="de", units="metric", assemblies=4)))
    page, how, _ = book.worksheets
    at = next(row for row in range(1, 30) if page.cell(row, 1).value == "assembly")
    assert page.freeze_panes == f"C{at + 1}"
    assert (page.page_setup.orientation, page.page_setup.paperSize) == ("landscape", 9)  # ISO/IEC 29500-1, 18.18.50: A4
    assert [page.cell(at + 1 + number, 1).value for number in range(4)] == ["1", "2", "3", "4"]
    setting = next(cell for cell in page[at] if cell.value == "turnbuckle.setting.upper_exposed")
    assert page.cell(at + 1, setting.column).number_format == "@"  # text: 3/8 stays 3/8
    lists = {
        str(each.sqref).split(":")[0].rstrip("0123456789"): each.formula1
        for each in page.data_validations.dataValidation
        if each.type == "list"
    }
    side = next(cell for cell in page[at] if cell.value == "side").column_letter
    sheet, _, area = str(lists[side]).rpartition("!")
    offered = [cell[0].value for cell in book[sheet.strip("'")][area.replace("$", "")]]
    assert offered == ["Backbord (links)", "Steuerbord (rechts)", "Mittschiffs"]
    assert str(how["A4"].value).startswith("Den Mast mit anderen Leinen abstützen")


def test_what_the_tables_name_is_no_formula_in_a_downloaded_csv(client: FlaskClient) -> None:
    for row in csv.reader(io.StringIO(blank(client, format="csv").decode("utf-8-sig"))):
        assert not [cell for cell in row if cell[:1] in ("=", "+", "-", "@")]


def test_a_sheet_made_long_ago_is_a_text_of_today(client: FlaskClient) -> None:
    made = openpyxl.load_workbook(io.BytesIO(blank(client))).properties.created
    assert made == datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)  # one day for all: equal sheets are equal files


@pytest.mark.parametrize(
    ("query", "parameter"), [("units=ells", "units"), ("assemblies=0", "assemblies"), ("assemblies=201", "assemblies"), ("lang=fr", "lang"), ("x=1", "x")]
)  # fmt: skip
def test_a_sheet_that_cannot_be_made_is_refused_with_the_reason(client: FlaskClient, query: str, parameter: str) -> None:
    answer = client.get(f"/v1/measuring-sheet?{query}")
    assert answer.status_code == 422
    assert [each["parameter"] for each in answer.json["errors"]] == [parameter]
    assert client.get("/v1/measuring-sheet?format=ods").status_code == 406


def test_what_becomes_of_a_toggle_is_understood_in_the_words_of_the_form(client: FlaskClient) -> None:
    row = {
        **GERMAN, "lower.links.1.kind": "Toggle", "lower.links.1.change": "Der alte fällt weg", "lower.links.1.pin": "3/8 in",
        "lower.links.1.in_reading": "nein", "lower.links.1.old_length": "40 mm", "lower.boat_fitting.kind": "Zwei Wangen",
        "lower.boat_fitting.pin_from": "Der des Bootes",
    }  # fmt: skip
    answer = sent(client, workbook(blank(client, lang="de"), WHOLE, [row]))
    assert answer.status_code == 200, answer.json
    lower = answer.json["request"]["assemblies"][0]["lower"]
    assert lower["links"] == [{"kind": "toggle", "change": "left_away", "pin": "3/8 in", "in_reading": False, "old_length": "40 mm"}]
    assert lower["boat_fitting"] == {"kind": "cheeks", "pin_from": "boat"}
