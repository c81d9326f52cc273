"""Filling in a downloaded measuring sheet as a person does in a spreadsheet, and sending it back."""

from __future__ import annotations

import csv
import io
from collections.abc import Hashable
from functools import lru_cache
from typing import Any

import openpyxl
from flask.testing import FlaskClient
from openpyxl.utils import get_column_letter
from werkzeug.test import TestResponse

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ADDRESS = "/v1/measuring-sheet"
Rows = list[dict[str, Any]]

# What somebody writes who has the boat of README's example on the dock: in English words and inches, and in German words.
ENGLISH: dict[str, Any] = {
    "tag": "CAP-P", "role": "Cap shroud", "side": "port", "turnbuckle": "Yes",
    "turnbuckle.setting.upper_exposed": "1 1/8 in", "turnbuckle.setting.lower_exposed": "1 1/16 in", "turnbuckle.setting.recorded_with": "CALIPER",
    "wire.construction": "1x19", "wire.material": "316", "wire.diameter": "3/16 in",
    "upper.terminal": "Tee, in a slot of the mast", "upper.attachment": "Swaged",
    "lower.terminal": "threaded  stud", "lower.attachment": "swage", "lower.thread": "3/8-24 UNF", "lower.hand": "Right-hand",
    "turnbuckle.body": "open", "turnbuckle.hand": "right", "turnbuckle.lower_end": "Toggle", "turnbuckle.pin": "3/8 in", "turnbuckle.reuse": "yes",
    "turnbuckle.dimensions.body": "4 in", "turnbuckle.dimensions.runout": "1 13/64 in",
    "measurement.includes_turnbuckle": "Yes", "measurement.readings.1": "29 ft 10 3/16 in", "measurement.readings.2": "29 ft 10 1/4 in",
    "measurement.support": "Flat on the dock, pulled straight by hand", "measurement.rig_setting": "As for sailing", "measurement.temperature": "64 degF",
}  # fmt: skip
GERMAN: dict[str, Any] = {
    **ENGLISH,
    "role": "Topwant", "side": "Backbord", "turnbuckle": "ja", "turnbuckle.setting.recorded_with": "Messschieber",
    "upper.terminal": "T-Terminal, in einem Schlitz des Mastes", "upper.attachment": "gewalzt", "lower.terminal": "Gewindeterminal",
    "lower.hand": "Rechtsgewinde", "turnbuckle.lower_end": "Toggle", "turnbuckle.reuse": "Ja", "measurement.includes_turnbuckle": "ja",
    "measurement.support": "flat", "measurement.rig_setting": "Wie zum Segeln",
}  # fmt: skip
NEW: dict[str, Any] = {"turnbuckle.reuse": "no", "turnbuckle.dimensions.body": None, "turnbuckle.dimensions.runout": None}  # not kept
WHOLE = {
    "customer.name": "Pelican Reach Sailing School",
    "customer.email": "office@pelican-reach.example",
    "boat.name": "Wagtail",
    "boat.length_overall": "27 ft 6 in",
    "display_units": "imperial",
}
# README's example, with an address and the hand of the body, which it leaves out
MEANT: dict[str, Any] = {
    "customer": {"name": "Pelican Reach Sailing School", "email": "office@pelican-reach.example"},
    "boat": {"name": "Wagtail", "length_overall": "27 ft 6 in"},
    "display_units": "imperial",
    "assemblies": [
        {
            "tag": "CAP-P", "role": "cap_shroud", "side": "port",
            "wire": {"construction": "1x19", "material": "316", "diameter": "3/16 in"},
            "upper": {"terminal": "tee", "attachment": "swage"},
            "lower": {"terminal": "stud", "attachment": "swage", "thread": "3/8-24 UNF", "hand": "right"},
            "turnbuckle": {
                "body": "open", "hand": "right", "lower_end": "toggle", "pin": "3/8 in", "reuse": True,
                "dimensions": {"body": "4 in", "runout": "1 13/64 in"},
                "setting": {"upper_exposed": "1 1/8 in", "lower_exposed": "1 1/16 in", "recorded_with": "caliper"},
            },
            "measurement": {
                "readings": ["29 ft 10 3/16 in", "29 ft 10 1/4 in"], "includes_turnbuckle": True, "support": "flat",
                "rig_setting": "everyday", "temperature": "64 degF",
            },
        },
    ],
}  # fmt: skip


_BLANK: dict[Hashable, tuple[object, bytes]] = {}
_FILLED: dict[Hashable, bytes] = {}


def downloaded(client: FlaskClient, **asked: Any) -> bytes:
    """A sheet as it is downloaded."""
    answer = client.get(ADDRESS, query_string=asked)
    assert answer.status_code == 200, answer.json
    return bytes(answer.data)


def blank(client: FlaskClient, **asked: Any) -> bytes:
    """The same, downloaded once from each engine: equal questions get equal bytes (test_round_trip.py)."""
    engine = client.application.extensions["catalogues"].current()
    key = id(engine), repr(sorted(asked.items()))
    if key not in _BLANK:
        _BLANK[key] = engine, downloaded(client, **asked)  # the engine is kept with it, so that no other gets its address
    return _BLANK[key][1]


def workbook(sheet: bytes, whole: dict[str, Any], wires: Rows) -> bytes:
    """The workbook with these values typed into its cells."""
    key = sheet, repr((whole, wires))
    if key not in _FILLED:
        _FILLED[key] = _filled(sheet, whole, wires)
    return _FILLED[key]


def _filled(sheet: bytes, whole: dict[str, Any], wires: Rows) -> bytes:
    book = openpyxl.load_workbook(io.BytesIO(sheet))
    page = book.worksheets[0]
    at = {str(page.cell(row, 1).value): row for row in range(1, 30)}
    for block, rows in (("request", [whole]), ("assembly", wires)):
        names = {page.cell(at[block], place).value: place for place in range(2, page.max_column + 1)}
        for number, row in enumerate(rows, 1):
            for name, value in row.items():
                page.cell(at[block] + number, names[name]).value = value
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def cell_of(sheet: bytes, name: str, number: int = 1, block: str = "assembly") -> str:
    """The name of a field's cell for the wire of that number, looked up in the downloaded workbook."""
    row, names = _places(sheet)[block]
    return f"{get_column_letter(names[name])}{row + number}"


@lru_cache(maxsize=32)
def _places(sheet: bytes) -> dict[str, tuple[int, dict[Any, int]]]:
    """Of each block the row of its names, and the column of each."""
    page = openpyxl.load_workbook(io.BytesIO(sheet)).worksheets[0]
    rows = {page.cell(row, 1).value: row for row in range(29, 0, -1)}
    columns = range(page.max_column, 1, -1)
    return {block: (rows[block], {page.cell(rows[block], place).value: place for place in columns}) for block in ("request", "assembly")}


def table(sheet: bytes, whole: dict[str, Any], wires: Rows, delimiter: str) -> list[list[str]]:
    """The CSV with these values typed into its cells, as rows."""
    rows = list(csv.reader(io.StringIO(sheet.decode("utf-8-sig")), delimiter=delimiter))
    at = {row[0]: number for number, row in enumerate(rows) if row[0] in ("request", "assembly")}
    for block, filled in (("request", [whole]), ("assembly", wires)):
        names = rows[at[block]]
        for number, row in enumerate(filled, 1):
            for name, value in row.items():
                rows[at[block] + number][names.index(name)] = value
    return rows


def text(rows: list[list[str]], delimiter: str = ",") -> str:
    """Rows as a spreadsheet saves them."""
    written = io.StringIO()
    csv.writer(written, delimiter=delimiter).writerows(rows)
    return written.getvalue()


def sent(client: FlaskClient, body: bytes, media: str = XLSX, language: str = "en") -> TestResponse:
    """What the service says of a file."""
    return client.post(f"{ADDRESS}?lang={language}", data=body, content_type=media)


def faults(answer: TestResponse) -> list[tuple[str | None, str]]:
    """Cell and code of each fault."""
    assert answer.status_code == 422, answer.json
    return [(each.get("cell"), each["code"]) for each in answer.json["errors"]]
