"""Every document of a quote against what people and shops may write in it: nothing runs, nothing is fetched, nothing is lost, equal bytes for equal quotes."""

from __future__ import annotations

import copy
import csv
import io
import subprocess
import sys
from functools import partial
from html import unescape
from typing import Any
from xml.etree import ElementTree as ET

import html5lib
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from service.documents import assembly_svg, bench_sheet_html, quotation_html, quote_csv, quote_ubl, quote_xlsx, rig_sheet_svg
from service.documents.quotation.speech import Speech
from service.pdf.press import EPOCH, ROOT, Press
from tests.documents.quotes import NASTY, case, demo, nasty, none_ready
from tests.documents.test_bench_sheet import ATTACK, KNOWN
from tests.service.test_pdfs import needs_pango

TEMPLATES = "{% for x in ().__class__.__base__.__subclasses__() %}{{ x }}{% endfor %}${7*7}#{7*7}<%= 7*7 %>{{7*7}}"
MARKUP = '<svg onload=alert(1)><a xlink:href="javascript:alert(1)">x</a></svg><!ENTITY x SYSTEM "file:///etc/hostname">&x;'
LONG = "長い覚え書き " * 700  # beyond 5,000 characters
TEXTS = (*NASTY, ATTACK, TEMPLATES, MARKUP, "مركب \u202eعكس\u202c 12,5 mm", '=HYPERLINK("http://x.example","x")', LONG)  # fmt: skip
HARMLESS = ("data:image/svg+xml;base64,", "/v1/quotes/")  # all that a page refers to


def written(text: str) -> dict[str, Any]:
    """A quote in which everything that somebody writes is that text, what stands in parts and wires as well."""
    document = nasty(text)
    document["cautions"] = [text]
    for each in document["assemblies"]:
        if each["wire"]:
            each["wire"]["name"] = text
        for part in (*each["parts"], *each["work"]):
            part["name"] = text
    return document


FORMS = {
    "quotation": quotation_html.page,
    "quotation in German": partial(quotation_html.page, language="de", for_paper=True),
    "bench sheet": partial(bench_sheet_html.page, known=KNOWN),
    "rig sheet": rig_sheet_svg.drawing,
    "first drawing": lambda document: assembly_svg.drawing(document, document["assemblies"][0]),
    "lines": quote_csv.lines,
    "bill": quote_csv.bill,
    "workbook": quote_xlsx.workbook,
    "ubl": quote_ubl.quotation,
}
PAGES, DRAWINGS = ("quotation", "quotation in German", "bench sheet"), ("rig sheet", "first drawing")
QUOTES = {
    **{f"text {place}": partial(written, text) for place, text in enumerate(TEXTS)},
    "none ready": none_ready,
    "120 assemblies": lambda: case("120 assemblies"),
}


@pytest.mark.parametrize("name", QUOTES)
@pytest.mark.parametrize("form", FORMS)
def test_equal_quotes_give_equal_bytes_that_can_be_read(form: str, name: str) -> None:
    document = QUOTES[name]()
    before = copy.deepcopy(document)
    made = FORMS[form](document)
    assert FORMS[form](copy.deepcopy(document)) == made
    assert document == before  # nobody writes in what others read
    if form in PAGES:
        html5lib.HTMLParser(strict=True).parse(made.decode())
    elif form in DRAWINGS or form == "ubl":
        ET.fromstring(made)  # noqa: S314  # our own bytes
    elif form == "workbook":
        book = load_workbook(io.BytesIO(made))
        assert not [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f" or cell.hyperlink]
    else:
        wide = {len(row) for row in csv.reader(io.StringIO(made.decode("utf-8-sig"), newline=""))}
        assert len(wide) == 1


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("form", PAGES)
def test_a_page_runs_nothing_and_refers_to_nothing(form: str, text: str) -> None:
    html = FORMS[form](written(text)).decode()
    tree = html5lib.parse(html, namespaceHTMLElements=False)
    names = {element.tag for element in tree.iter() if isinstance(element.tag, str)}
    assert not names & {"script", "svg", "iframe", "object", "embed", "form", "input", "base", "video", "link"}
    for element in tree.iter():
        assert not [name for name in element.attrib if str(name).startswith("on")]
        for name in ("href", "src"):
            assert element.get(name, HARMLESS[0]).startswith(HARMLESS)
    if text is TEMPLATES:
        assert unescape(html).count(TEMPLATES) > 20  # as written, and worked out by nobody


def test_a_long_note_is_whole_in_every_document_that_bears_it() -> None:
    document = {**demo(1), "note": LONG}
    assert LONG.strip() in unescape(quotation_html.page(document).decode())
    assert LONG.strip() in quote_ubl.quotation(document).decode()
    assert LONG.strip() in {
        str(cell.value).strip() for row in load_workbook(io.BytesIO(quote_xlsx.workbook(document)))["Summary"].iter_rows() for cell in row
    }


def pressed(html: bytes) -> str:
    made = Press(seconds=280).order("a page", lambda: html, lambda _: None).result(timeout=300)
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages).split())


@needs_pango
def test_the_german_pdf_has_every_number_of_the_json_as_germans_write_it() -> None:
    document = demo(1)
    shown, said = pressed(quotation_html.page(document, "de", for_paper=True)), Speech("de", "metric")
    amounts = [line["net"] for line in document["lines"]] + [each["price"]["net"] for each in document["assemblies"] if each["price"]]
    amounts += [document["totals"][name] for name in ("lines", "tax_exclusive", "payable")]
    assert [each for each in amounts if " ".join(said.money(each, "USD").split()) not in shown] == []
    for each in document["assemblies"]:
        for name in ("measured_length", "target_length"):
            assert each[name] is None or each[name]["text"].replace(".", ",") in shown


@needs_pango
def test_the_pdf_of_bad_texts_opens_no_connection_and_no_file_that_a_text_names(tmp_path: Any) -> None:
    """The interpreter's own audit events (PEP 578) end the process at the first connection, or where the file is opened."""
    secret = tmp_path / "secret-file"
    secret.write_text("secret")
    text = f'<img src="file://{secret}"><link rel="stylesheet" href="{secret}"><img src="http://127.0.0.1:9/x">@import url(file://{secret}); \u202eطاقم 帆走 ⛵'
    html = quotation_html.page(written(text), for_paper=True)
    watch = (
        "import os, sys\n"
        "def watch(event, args):\n"
        "    outside = event in ('socket.connect', 'socket.getaddrinfo', 'socket.bind')\n"
        "    asked = event == 'urllib.Request' and not args[0].startswith('data:')\n"  # the drawings in the page are asked for in this way
        "    if outside or asked or event == 'open' and 'secret-file' in str(args[0]):\n"
        "        os._exit(9)\n"
        "sys.addaudithook(watch)\n"
    )
    run = "from service.pdf.child import main\nsys.exit(main())"
    wrong = f"open({str(secret)!r})\n"
    command = [sys.executable, "-c"]
    environment = {"SOURCE_DATE_EPOCH": EPOCH, "PATH": "/usr/bin:/bin"}
    seen = subprocess.run([*command, watch + wrong + run], input=html, cwd=ROOT, env=environment, capture_output=True, check=False)
    assert seen.returncode == 9  # the watch does see it
    made = subprocess.run([*command, watch + run], input=html, cwd=ROOT, env=environment, capture_output=True, check=False)
    assert (made.returncode, made.stdout[:5]) == (0, b"%PDF-"), made.stderr[-500:]
    reader = PdfReader(io.BytesIO(made.stdout))
    assert not reader.attachments
    assert "127.0.0.1" in "".join(page.extract_text() for page in reader.pages)  # shown, not fetched
