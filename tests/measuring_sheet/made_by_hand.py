"""Workbooks made by hand, part by part, as none of the service's libraries would write them (ISO/IEC 29500-1, clause 18): small ones, odd
ones, hostile ones."""

from __future__ import annotations

import io
import zipfile
from xml.sax.saxutils import escape

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
Cells = list[list[str]]


def parts(sheet: str, shared: str | None = None) -> dict[str, str]:
    """The fewest parts that a workbook has; with shared strings where `shared` is given."""
    also = f'<Override PartName="/xl/sharedStrings.xml" ContentType="{WORKBOOK}.sharedStrings+xml"/>' if shared is not None else ""
    link = f'<Relationship Id="r2" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>' if shared is not None else ""
    found = {
        "[Content_Types].xml": f'{HEAD}<Types xmlns="{PACKAGE}/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.'
        f'relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="{WORKBOOK}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{WORKBOOK}.worksheet+xml"/>{also}</Types>',
        "_rels/.rels": f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" Type="{OFFICE}/officeDocument" '
        'Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets><sheet name="S" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'{HEAD}<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="r1" Type="{OFFICE}/worksheet" '
        f'Target="worksheets/sheet1.xml"/>{link}</Relationships>',
        "xl/worksheets/sheet1.xml": sheet,
    }
    return found if shared is None else {**found, "xl/sharedStrings.xml": shared}


def packed(files: dict[str, str | bytes], **how: int) -> bytes:
    """Parts as a file."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", how.get("compression", zipfile.ZIP_DEFLATED)) as file:
        for name, data in files.items():
            file.writestr(name, data)
    return written.getvalue()


def worksheet(rows: str) -> str:
    """A worksheet of these rows."""
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def inline(cells: Cells) -> bytes:
    """Every cell an inline string, without names of cells or rows: both may be left out (18.3.1.4, 18.3.1.73)."""
    rows = "".join("<row>" + "".join(f'<c t="inlineStr"><is><t>{escape(each)}</t></is></c>' for each in row) + "</row>" for row in cells)
    return packed(parts(worksheet(rows)))


def shared(cells: Cells) -> bytes:
    """Every cell a shared string, one of them in runs with formats, as office programs write them."""
    texts = list(dict.fromkeys(each for row in cells for each in row))
    rows = "".join(
        f'<row r="{number}">' + "".join(f'<c t="s"><v>{texts.index(each)}</v></c>' for each in row) + "</row>"
        for number, row in enumerate(cells, 1)
    )
    strings = "".join(
        f"<si><r><t xml:space='preserve'>{escape(each[:2])}</t></r><r><rPr><b/></rPr><t xml:space='preserve'>{escape(each[2:])}</t></r></si>"
        for each in texts
    )
    return packed(parts(worksheet(rows), f'{HEAD}<sst xmlns="{MAIN}">{strings}</sst>'))
