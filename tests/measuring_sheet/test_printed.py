"""The sheet on paper: the usual wire's columns fit landscape A4 and Letter at full size, with pictures, and without what only programs read."""

from __future__ import annotations

import io
import re
import zipfile
from typing import Any

import openpyxl
import pytest
from flask.testing import FlaskClient
from openpyxl.utils import column_index_from_string, get_column_letter, range_boundaries

from tests.counts import some_of
from tests.measuring_sheet.filling import MEANT, WHOLE, blank, cell_of, faults, sent, text, workbook

# Width and height of the paper lying, mm: ISO 216; ANSI/ASME Y14.1 (11 in x 8 1/2 in). Its code: ISO/IEC 29500-1, 18.3.1.63.
PAPERS = {"metric": (9, 297.0, 210.0), "imperial": (1, 279.4, 215.9)}
INCH, POINTS = 25.4, 72
# README's wire in the columns that are seen, in the form's words, as somebody copies them from paper
USUAL: dict[str, Any] = {
    "tag": "CAP-P", "place": "Cap shroud, port", "turnbuckle_is": "Open, I keep it", "turnbuckle.setting.upper_exposed": "1 1/8 in",
    "turnbuckle.setting.lower_exposed": "1 1/16 in", "read_with": "caliper", "wire_kind": "One stiff strand", "wire.diameter": "3/16 in",
    "upper.terminal": "Tee", "upper.attachment": "Swaged", "lower.terminal": "Threaded stud", "lower.attachment": "Swaged",
    "lower.screw": "3/8-24 UNF, Right-hand", "turnbuckle.lower_outer": "Toggle, 3/8 in", "measured_from": "With the turnbuckle in it",
    "turnbuckle.dimensions.body": "4 in", "turnbuckle.dimensions.runout": "1 13/64 in", "measurement.readings.1": "29 ft 10 3/16 in",
    "measurement.readings.2": "29 ft 10 1/4 in", "laid": "Flat, pulled straight by hand",
}  # fmt: skip
USUAL_GERMAN = {
    **USUAL, "place": "Topwant, Backbord", "turnbuckle_is": "Offen, bleibt", "read_with": "Messschieber", "upper.terminal": "T-Terminal",
    "upper.attachment": "gewalzt", "lower.terminal": "Gewindeterminal", "lower.attachment": "gewalzt", "lower.screw": "3/8-24 UNF, Rechtsgewinde",
    "laid": "Flach, von Hand gerade gezogen",
}  # fmt: skip
# What README says, but for the temperature, which has no column of its own on paper; the tables leave one hand for the turnbuckle's body.
(_WIRE,) = MEANT["assemblies"]
WIRE = {**_WIRE, "measurement": {name: value for name, value in _WIRE["measurement"].items() if name != "temperature"}}


def opened(client: FlaskClient, **asked: Any) -> Any:
    """The first page of a downloaded workbook."""
    return openpyxl.load_workbook(io.BytesIO(blank(client, **asked))).worksheets[0]


def is_hidden(page: Any, column: int) -> bool:
    return any(each.hidden and each.min <= column <= each.max for each in page.column_dimensions.values())


def width_mm(page: Any, column: int) -> float:
    """ISO/IEC 29500-1, 18.3.1.13: a width is that of so many digits, of 7 px in the usual font at 96 px to the inch, 5 px beside them counted in."""
    (width,) = (each.width for each in page.column_dimensions.values() if each.min <= column <= each.max)
    return round(width * 7) / 96 * INCH


@pytest.mark.parametrize(("units", "language"), some_of([(units, language) for units in PAPERS for language in ("en", "de")], 2))
def test_the_usual_wire_fits_one_page_of_its_paper_and_of_the_other(client: FlaskClient, units: str, language: str) -> None:
    page = opened(client, units=units, lang=language, assemblies=12)
    setup = page.page_setup
    assert (setup.orientation, setup.paperSize) == ("landscape", PAPERS[units][0])
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert (setup.fitToWidth or 1, setup.fitToHeight) == (1, 0)  # one page wide, which is left out as the default, and as high as it is
    first, top, last, bottom = range_boundaries(page.print_area.rpartition("!")[2].replace("$", ""))
    assert (first, top) == (1, 1)
    assert last <= 24
    assert not [column for column in range(first, last + 1) if is_hidden(page, column)]
    wide = sum(width_mm(page, column) for column in range(first, last + 1))
    high = (
        sum(page.row_dimensions[row].height or 15.0 for row in range(top, bottom + 1) if not page.row_dimensions[row].hidden)
        / POINTS
        * INCH
    )
    margins = page.page_margins
    for _, width, height in PAPERS.values():
        assert wide <= width - (margins.left + margins.right) * INCH
        assert high <= height - (margins.top + margins.bottom) * INCH
    assert wide >= 0.95 * (279.4 - (margins.left + margins.right) * INCH)  # and leaves no room unused on the narrower


def test_what_only_programs_read_is_out_of_sight(client: FlaskClient) -> None:
    page = opened(client)
    names = [row for row in range(1, 30) if page.cell(row, 1).value in ("request", "assembly")]
    assert len(names) == 2
    assert all(page.row_dimensions[row].hidden for row in names)
    seen = [str(cell.value) for row in page.iter_rows() for cell in row if cell.value and not page.row_dimensions[cell.row].hidden]
    assert [each for each in seen if re.search(r"[a-z]_[a-z]|[a-z]\.[a-z]", each)] == []
    folded = [column for column in range(1, page.max_column + 1) if is_hidden(page, column)]
    assert folded == list(range(25, page.max_column + 1))  # in one piece, to the right of what is seen
    assert page.column_dimensions[get_column_letter(25)].outlineLevel == 1


@pytest.mark.parametrize(("language", "words"), [("en", ("Fork", "Threaded stud")), ("de", ("Gabel", "Gewindeterminal"))])
def test_the_ends_are_pictured_below_the_wires_and_told_in_words(client: FlaskClient, language: str, words: tuple[str, ...]) -> None:
    sheet = zipfile.ZipFile(io.BytesIO(blank(client, lang=language, assemblies=3)))
    (image,) = [sheet.read(name) for name in sheet.namelist() if name.startswith("xl/media/")]
    assert image.startswith(b"\x89PNG\r\n\x1a\n")  # ISO/IEC 15948, 5.2
    drawing = sheet.read("xl/drawings/drawing1.xml").decode()
    assert all(each in drawing for each in words)
    row = int(re.search(r"<xdr:from>.*?<xdr:row>(\d+)</xdr:row>", drawing)[1])  # type: ignore[index]
    page = opened(client, lang=language, assemblies=3)
    assert page.cell(row, 1).value == "3"  # the last wire is right above it: rows are counted from 0 there
    below = [str(page.cell(row + each, 1).value) for each in (2, 3, 4)]
    assert {"en": "Support the mast", "de": "Den Mast mit anderen Leinen"}[language] in below[0]
    # 266.7 mm are 756 points; a letter of 8 points is half as wide as high, more or less (from memory)
    assert max(map(len, below)) * 4 <= 756


@pytest.mark.parametrize(("language", "row"), [("en", USUAL), ("de", USUAL_GERMAN)])
def test_what_stands_in_the_columns_that_are_seen_is_the_whole_wire(client: FlaskClient, language: str, row: dict[str, Any]) -> None:
    sheet = blank(client, lang=language)
    assert max(column_index_from_string(re.match("[A-Z]+", cell_of(sheet, name))[0]) for name in row) <= 24  # type: ignore[index]
    answer = sent(client, workbook(sheet, WHOLE, [row]))
    assert answer.status_code == 200, answer.json
    assert answer.json["request"] == {**MEANT, "language": "en", "assemblies": [WIRE]}
    assert [each["cell"] for each in answer.json["assumptions"]] == [cell_of(sheet, "turnbuckle.hand")]


def test_a_cell_that_says_something_else_than_a_short_one_is_reported(client: FlaskClient) -> None:
    sheet = blank(client)
    answer = sent(client, workbook(sheet, {}, [{**USUAL, "side": "starboard"}]))
    assert faults(answer) == [(cell_of(sheet, "side"), "contradiction")]
    assert "'Which wire is it?'" in answer.json["errors"][0]["detail"]
    assert sent(client, workbook(sheet, {}, [{**USUAL, "side": "port"}])).status_code == 200


def test_a_sheet_of_an_earlier_release_is_understood(client: FlaskClient) -> None:
    """Its columns were the request's fields alone, one by one."""
    names = ["tag", "role", "side", "turnbuckle", "turnbuckle.setting.upper_exposed", "turnbuckle.setting.lower_exposed", "turnbuckle.setting.recorded_with",
             "measurement.rig_setting", "wire.construction", "wire.material", "wire.diameter", "upper.terminal", "upper.attachment", "lower.terminal",
             "lower.attachment", "lower.thread", "lower.hand", "turnbuckle.body", "turnbuckle.hand", "turnbuckle.lower_end", "turnbuckle.pin", "turnbuckle.reuse",
             "turnbuckle.dimensions.body", "turnbuckle.dimensions.runout", "measurement.includes_turnbuckle", "measurement.readings.1", "measurement.readings.2",
             "measurement.support"]  # fmt: skip
    wire = ["CAP-P", "Cap shroud", "Port (left)", "Yes", "1 1/8 in", "1 1/16 in", "Caliper", "As for sailing", "1x19", "316", "3/16 in", "tee", "swage",
            "stud", "swage", "3/8-24 UNF", "right", "open", "right", "toggle", "3/8 in", "yes", "4 in", "1 13/64 in", "yes", "29 ft 10 3/16 in", "29 ft 10 1/4 in",
            "flat"]  # fmt: skip
    rows = [
        ["#", "Measuring sheet"],
        ["request", "boat.name", "display_units"],
        ["", "Wagtail", "imperial"],
        ["assembly", *names],
        ["1", *wire],
    ]
    width = len(names) + 1
    answer = sent(client, text([[*row, *[""] * (width - len(row))] for row in rows]).encode(), "text/csv")
    assert answer.status_code == 200, answer.json
    assert answer.json["request"] == {"language": "en", "boat": {"name": "Wagtail"}, "display_units": "imperial", "assemblies": [WIRE]}
