"""Files of every origin: made by other programs, cut off, locked, hostile. None takes long or much memory, and each refusal says what to do."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
import zlib

import pytest
from flask.testing import FlaskClient

from tests.counts import some, some_of
from tests.measuring_sheet.filling import ADDRESS, ENGLISH, MEANT, WHOLE, XLSX, blank, faults, sent, table, text, workbook
from tests.measuring_sheet.made_by_hand import HEAD, MAIN, inline, packed, parts, shared, worksheet
from tests.yardstick import at_most

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # [MS-CFB] 2.2, header signature


def refused(client: FlaskClient, body: bytes, media: str = XLSX) -> str:
    """The code of a file that is refused as a whole; it must be refused soon."""
    answer = at_most(150, lambda: sent(client, body, media))
    (fault,) = answer.json["errors"]
    assert (answer.status_code, fault["pointer"]) == (422, "#")
    assert len(fault["detail"]) > 30
    return str(fault["code"])


@pytest.mark.parametrize("make", [inline, shared])
def test_a_workbook_of_another_program_is_read_alike(client: FlaskClient, make: object) -> None:
    rows = table(blank(client, format="csv"), WHOLE, [ENGLISH], ",")
    answer = sent(client, make(rows))  # type: ignore[operator]
    assert answer.status_code == 200, answer.json
    assert answer.json["request"] == MEANT | {"language": "en"}


def test_a_sheet_that_claims_a_wrong_size_is_read_whole(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv"), WHOLE, [ENGLISH], ",")
    whole = zipfile.ZipFile(io.BytesIO(inline(rows))).read("xl/worksheets/sheet1.xml").decode()
    claiming = whole.replace("<sheetData>", '<dimension ref="A1:B2"/><sheetData>')
    assert sent(client, packed(parts(claiming))).json["request"] == MEANT | {"language": "en"}


def test_a_bomb_that_tells_its_size_is_refused_by_its_directory(client: FlaskClient) -> None:
    sheet = worksheet("<row/>" * 6_000_000)  # 36 MB of XML in 90 kB or so
    assert refused(client, packed(parts(sheet))) == "too_large"


@pytest.mark.long
def test_a_bomb_that_lies_about_its_size_is_let_go_of_early(client: FlaskClient) -> None:
    bomb = worksheet("<row/>" * some(20_000_000, 5_000_000))
    body = bytearray(packed(parts(bomb, None)))
    sheet = zipfile.ZipFile(io.BytesIO(bytes(body))).getinfo("xl/worksheets/sheet1.xml")
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):  # APPNOTE 4.3.7, 4.3.12: uncompressed size
        place = body.index(mark, sheet.header_offset) if at == 22 else body.rindex(mark)
        assert body[place + at : place + at + 4] == sheet.file_size.to_bytes(4, "little")
        body[place + at : place + at + 4] = (1000).to_bytes(4, "little")
        crc = place + at - 8
        body[crc : crc + 4] = zlib.crc32(bomb[:1000].encode()).to_bytes(4, "little")
    tracemalloc.start()
    assert refused(client, bytes(body)) == "damaged"
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 20_000_000  # of the 120 MB, or 30, that it would unpack to


LAUGHS = '<!DOCTYPE s [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
OUTSIDE = '<!DOCTYPE s [<!ENTITY a SYSTEM "file:///etc/passwd">]>'


@pytest.mark.parametrize("declared", some_of([LAUGHS, '<!DOCTYPE s SYSTEM "http://127.0.0.1:9/x.dtd">', OUTSIDE], 2))
@pytest.mark.parametrize("part", ["xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/workbook.xml"])
def test_a_document_type_is_refused_in_any_part(client: FlaskClient, declared: str, part: str) -> None:
    files = parts(worksheet('<row><c t="inlineStr"><is><t>assembly</t></is></c></row>'), f'{HEAD}<sst xmlns="{MAIN}"/>')
    files[part] = files[part].replace(HEAD, HEAD + declared)
    assert refused(client, packed(files)) == "declares"


def test_a_document_type_in_another_charset_is_refused_alike(client: FlaskClient) -> None:
    sheet = worksheet("<row/>").replace('encoding="UTF-8"', 'encoding="UTF-16"').replace("?>\n", f"?>\n{LAUGHS}", 1)
    files: dict[str, str | bytes] = {**parts("")}
    files["xl/worksheets/sheet1.xml"] = sheet.encode("utf-16")
    assert refused(client, packed(files)) == "declares"


def test_a_file_with_macros_is_refused_by_its_part_and_by_its_kind(client: FlaskClient) -> None:
    plain = parts(worksheet("<row/>"))
    assert refused(client, packed({**plain, "xl/vbaProject.bin": b"x"})) == "macros"
    kind = plain["[Content_Types].xml"].replace("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml", "application/vnd.ms-excel.sheet.macroEnabled.main+xml")  # fmt: skip
    assert refused(client, packed({**plain, "[Content_Types].xml": kind})) == "macros"
    answer = client.post(ADDRESS, data=packed(plain), content_type="application/vnd.ms-excel.sheet.macroEnabled.12")
    assert answer.status_code == 415
    assert XLSX in answer.headers["Accept"]


def test_a_locked_and_an_old_workbook_are_distinguished(client: FlaskClient) -> None:
    # [MS-OFFCRYPTO] 2.3.4.4: a locked workbook is a compound file with a stream of this name
    assert refused(client, OLE + b"\x00" * 500 + "EncryptedPackage".encode("utf-16-le")) == "locked"
    assert refused(client, OLE + b"\x00" * 500 + "Workbook".encode("utf-16-le")) == "old_workbook"
    body = bytearray(packed(parts(worksheet("<row/>"))))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):  # APPNOTE 4.4.4, bit 0: encrypted
        body[body.index(mark) + at] |= 1
    assert refused(client, bytes(body)) == "locked"


def test_a_workbook_that_was_cut_off_is_damaged(client: FlaskClient) -> None:
    body = workbook(blank(client), WHOLE, [ENGLISH])
    for length in (4, 100, len(body) // 2, len(body) - 10):
        assert refused(client, body[:length]) == "damaged"


@pytest.mark.parametrize("compression", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_packing_that_no_workbook_has_is_refused(client: FlaskClient, compression: int) -> None:
    assert refused(client, packed(parts(worksheet("<row/>")), compression=compression)) == "damaged"


@pytest.mark.parametrize(
    ("files", "code"),
    [
        ({"mimetype": "application/vnd.oasis.opendocument.spreadsheet"}, "not_a_workbook"),
        ({**parts("<not><closed></not>")}, "damaged"),
        ({**parts(worksheet("<row/>")), "xl/workbook.xml": "<x/>"}, "not_a_measuring_sheet"),
        ({**parts(worksheet("<row/>"))}, "not_a_measuring_sheet"),
        ({**parts(worksheet("<row/>")), **{f"xl/media/{number}.png": b"" for number in range(600)}}, "too_large"),
        ({**parts(worksheet("<row>" + "<c/>" * 200_001 + "</row>"))}, "too_large"),
        ({**parts(worksheet('<row><c r="AAA1" t="inlineStr"><is><t>x</t></is></c></row>'))}, "too_wide"),
    ],
)
def test_a_zip_that_is_not_a_measuring_sheet_is_refused_with_what_it_lacks(
    client: FlaskClient, files: dict[str, str | bytes], code: str
) -> None:
    assert refused(client, packed(files)) == code


def test_a_file_of_another_kind_is_refused(client: FlaskClient) -> None:
    assert refused(client, b"%PDF-1.7") == "not_a_workbook"
    assert refused(client, b"x") == "not_a_workbook"
    assert refused(client, b"\x00\x01\x02", "text/csv") == "not_csv"
    assert refused(client, b"#,nothing\r\n", "text/csv") == "not_a_measuring_sheet"


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_ten_thousand_rows_are_refused_soon(client: FlaskClient, kind: str) -> None:
    rows = [*table(blank(client, format="csv"), WHOLE, [ENGLISH], ","), *([["", "X"]] * 10_000)]
    body, media = (text(rows).encode(), "text/csv") if kind == "csv" else (inline(rows), XLSX)
    assert refused(client, body, media) == "too_many_rows"


@pytest.mark.long
def test_more_wires_than_a_request_takes_are_reported_at_the_first_that_is_too_many(client: FlaskClient) -> None:
    rows = table(blank(client, format="csv", assemblies=1), {}, [ENGLISH], ",")
    at = next(number for number, row in enumerate(rows) if row[0] == "assembly")
    rows += [[*rows[at + 1]] for _ in range(200)]
    for number, row in enumerate(rows[at + 1 :]):
        row[1] = f"W{number}"
    answer = sent(client, text(rows).encode(), "text/csv")
    (fault,) = answer.json["errors"]
    assert (fault["row"], fault["code"]) == (at + 1 + 201, "list_size")
    assert sent(client, text(rows[:-1]).encode(), "text/csv").status_code == 200


def test_two_sheets_in_one_workbook_are_not_chosen_between(client: FlaskClient) -> None:
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(workbook(blank(client), WHOLE, [ENGLISH])))
    book.copy_worksheet(book.worksheets[0])
    written = io.BytesIO()
    book.save(written)
    assert refused(client, written.getvalue()) == "two_sheets"


def test_a_body_that_ends_early_is_400_and_a_large_one_413(client: FlaskClient) -> None:
    answer = client.post(ADDRESS, data=b"#", content_type="text/csv", environ_overrides={"CONTENT_LENGTH": "9"})
    assert answer.status_code == 400
    assert client.post(ADDRESS, data=b"#" * 2_000_001, content_type="text/csv").status_code == 413


def test_no_cell_is_named_by_a_file_that_names_none(client: FlaskClient) -> None:
    assert faults(sent(client, b"request,tag\r\n,x\r\n", "text/csv"))[0] == (None, "not_a_measuring_sheet")
