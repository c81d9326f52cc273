"""Workbooks and CSV files made to take long or much memory while they are small: each is refused, or read, within a second and 50 MB.

How long they took when a library read them unbounded: rows numbered 10^15 without end, 10^8 15 s; a million formats 15 s and 530 MB; six million
empty shared strings 30 s and 620 MB; 20,000 cells in the last column 5 s.
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from service.assembly_table import usual_names
from service.measuring_sheet.grid import MOST_TEXT, Line, NotASheet
from service.measuring_sheet.read_csv import lines_of_csv
from service.measuring_sheet.read_xlsx import lines_of_xlsx
from tests.counts import THOROUGH, some_of
from tests.measuring_sheet.filling import ADDRESS
from tests.measuring_sheet.made_by_hand import HEAD, MAIN, OFFICE, PACKAGE, WORKBOOK, inline, packed, parts, worksheet
from tests.yardstick import at_most

FIRST = '<row r="1"><c r="A1" t="inlineStr"><is><t>assembly</t></is></c></row>'
STYLES = (
    '<fonts count="1"><font/></fonts><fills count="1"><fill><patternFill/></fill></fills><borders count="1"><border/></borders>'
    '<cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs>{}</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles>'
)


def of_rows(rows: str) -> bytes:
    return packed(parts(worksheet(FIRST + rows)))


def styled(formats: str = "", numbers: str = "") -> bytes:
    styles = f'{HEAD}<styleSheet xmlns="{MAIN}">{numbers}{STYLES.format(formats)}</styleSheet>'
    files = parts(worksheet(FIRST))
    kind = f'<Override PartName="/xl/styles.xml" ContentType="{WORKBOOK}.styles+xml"/></Types>'
    files["[Content_Types].xml"] = files["[Content_Types].xml"].replace("</Types>", kind)
    link = f'<Relationship Id="r9" Type="{OFFICE}/styles" Target="styles.xml"/></Relationships>'
    files["xl/_rels/workbook.xml.rels"] = files["xl/_rels/workbook.xml.rels"].replace("</Relationships>", link)
    return packed({**files, "xl/styles.xml": styles})


def strings(text: str, cells: str = "") -> bytes:
    return packed(parts(worksheet(FIRST + cells), f'{HEAD}<sst xmlns="{MAIN}">{text}</sst>'))


def sheets(many: int) -> bytes:
    """One worksheet of many cells, named by every sheet of the workbook."""
    files = parts(worksheet(FIRST + "<row>" + "<c><v>1</v></c>" * 300 + "</row>"))
    named = "".join(f'<sheet name="S{n}" sheetId="{n}" r:id="r{n}"/>' for n in range(2, many))
    links = "".join(f'<Relationship Id="r{n}" Type="{OFFICE}/worksheet" Target="./worksheets/sheet1.xml"/>' for n in range(2, many))
    files["xl/workbook.xml"] = files["xl/workbook.xml"].replace("</sheets>", named + "</sheets>")
    files["xl/_rels/workbook.xml.rels"] = f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships">{links}</Relationships>'
    return packed(files)


def shared_formulas() -> bytes:
    first = f'<row r="2"><c r="A2"><f t="shared" si="0" ref="A2:A9000">{"A1+" * 2500}1</f></c></row>'
    return of_rows(first + "".join(f'<row r="{n}"><c r="A{n}"><f t="shared" si="0"/></c></row>' for n in range(3, 9000)))


def long_names() -> bytes:
    return packed({**parts(worksheet(FIRST)), **{f"xl/{'workbook' * 8000}{n}": b"" for n in range(20)}})


def attributes(many: int) -> str:
    return " ".join(f'a{number}=""' for number in range(many))


NUMBER = f'<numFmt numFmtId="170" formatCode="{"[" * 200_000}"/>'
MERGED = '<mergeCell ref="A1:B2"/>'
LAST = "".join(f'<row r="{n}"><c r="XFD{n}"/></row>' for n in range(2, 20_000))
HOSTILE: dict[str, Callable[[], bytes]] = {
    "a row numbered 10^15": lambda: of_rows('<row r="1000000000000000"><c r="A1000000000000000"/></row>'),
    "a row numbered 10^8": lambda: of_rows('<row r="100000000"><c r="A100000000"/></row>'),
    "a row numbered 1e15": lambda: of_rows('<row r="1e15"><c/></row>'),
    "a row of a thousand digits": lambda: of_rows(f"<row r='{'9' * 1000}'><c/></row>"),
    "cells in the last column": lambda: of_rows(LAST),
    "a million formats": lambda: styled("<xf/>" * 1_000_000),
    "formats that a search goes back in": lambda: styled("<xf/>", "<numFmts>" + NUMBER * 9 + "</numFmts>"),
    "empty shared strings": lambda: strings("<si/>" * 1_500_000),
    "shared formulas": shared_formulas,
    "one worksheet named many times": lambda: sheets(20),
    "merged cells": lambda: packed(parts(worksheet(FIRST).replace("</worksheet>", MERGED * 200_000 + "</worksheet>"))),
    "elements in elements": lambda: of_rows("<a>" * 100_000 + "</a>" * 100_000),
    "attributes of one row": lambda: of_rows(f"<row {attributes(400_000)}/>"),
    "attributes of many rows": lambda: of_rows(f"<row {attributes(150)}/>" * 6_000),
    "a comment as long as the sheet": lambda: of_rows(f"<!--{'x' * 7_000_000}-->"),
    "names that a search goes back in": long_names,
}  # fmt: skip


def read(body: bytes) -> list[Line] | NotASheet:
    try:
        return list((lines_of_xlsx if body.startswith(b"PK") else lines_of_csv)(body))
    except NotASheet as refused:
        return refused


def within_bounds(body: bytes) -> list[Line] | NotASheet:
    """What comes of the file, by processor time and then by the memory that Python counts. The files of old took 500 times the yardstick and more."""
    read(inline([["assembly"]]))  # the library is there
    found = at_most(250, lambda: read(body))
    if not THOROUGH:  # to follow every piece of memory takes ten times as long
        return found
    tracemalloc.start()
    try:
        read(body)
        assert tracemalloc.get_traced_memory()[1] < 50_000_000
    finally:
        tracemalloc.stop()
    return found


@pytest.mark.parametrize("name", some_of([*HOSTILE], 5))
def test_a_small_workbook_that_would_take_long_is_refused_at_once(name: str) -> None:
    found = within_bounds(HOSTILE[name]())
    if name != "names that a search goes back in":  # such a part is of no interest, and the sheet is read
        assert isinstance(found, NotASheet)
        assert found.fault[0] in ("too_large", "damaged")


@pytest.mark.long
def test_the_largest_workbook_that_is_read_is_read_in_time() -> None:
    """35,000 cells of one letter, some eighty fields for each of 200 wires twice over."""
    cells = [["assembly", *("a" * 99)]] + [["", *("b" * 99)]] * 349
    found = within_bounds(inline(cells))
    assert isinstance(found, list)
    assert (len(found), len(found[0].cells)) == (350, 100)


def test_a_sheet_with_something_in_its_very_last_row_is_read() -> None:
    found = within_bounds(of_rows('<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>x</t></is></c></row>'))
    assert isinstance(found, list)
    assert [line.row for line in found] == [1, 1_048_576]


def test_one_long_string_in_every_cell_is_cut_where_no_field_is_as_long() -> None:
    cells = "".join("<row>" + '<c t="s"><v>0</v></c>' * 10 + "</row>" for _ in range(2_000))
    found = within_bounds(strings(f"<si><t>{'x' * 3_000_000}</t></si>", cells))
    assert isinstance(found, list)
    assert {(len(cell.text), cell.fault and cell.fault[0]) for line in found[1:] for cell in line.cells} == {(80, "too_long")}


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"assembly" + b",a" * 990_000, ""),
        (b"assembly\n" + (b"1" + b",2" * 399 + b"\n") * 2_400, "too_large"),
        (b"assembly\n" + (b"1" + b",2" * 900 + b"\n") * 1_000, "too_wide"),
        (b"assembly\n" + (b"," * 900 + b"\n") * 2_000, ""),
        (b"assembly\n" + b"1,2\n" * 400_000, "too_many_rows"),
        (b'assembly\n"' + b"x" * 1_900_000, ""),
    ],
)  # fmt: skip
def test_a_csv_file_of_two_megabytes_is_read_or_refused_in_time(body: bytes, code: str) -> None:
    found = within_bounds(body)
    assert (found.fault[0] if isinstance(found, NotASheet) else "") == code


WRONG = {
    "400 names that are almost of fields": ",".join(["assembly", *(f"{name[:-1]}x" for name in usual_names() * 4)][:400]),
    "200 wires with every cell wrong": "\n".join([",".join(["assembly", *usual_names()[10:270]]), *["1" + ",zz" * 260] * 200]),
}


@pytest.mark.long
@pytest.mark.parametrize("name", some_of([*WRONG], 1))
def test_a_sheet_with_everything_wrong_is_answered_in_time(client: FlaskClient, name: str) -> None:
    body, headers = WRONG[name].encode(), {"Content-Type": "text/csv"}
    client.post(ADDRESS, data=b"assembly,tag", headers=headers)  # what is made once is made
    answer = at_most(120, lambda: client.post(ADDRESS, data=body, headers=headers))
    assert answer.status_code == 422
    assert 390 < len(answer.json["errors"]) <= 1001


def test_a_text_as_long_as_a_field_takes_is_left_alone() -> None:
    (line,) = lines_of_csv(b"x" * MOST_TEXT)
    assert line.cells[0].fault is None
    (line,) = lines_of_csv(b"x" * (MOST_TEXT + 1))
    assert line.cells[0].fault is not None
