"""Every document of a quote with any text that people and shops may enter: nothing is executed, nothing is fetched, nothing is lost,
equal bytes for equal quotes."""

from __future__ import annotations

import copy
import csv
import io
from functools import partial
from html import unescape
from typing import Any
from xml.etree import ElementTree as ET

import html5lib
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from service.documents.bench_sheet import html as bench_sheet_html
from service.documents.csv import quote as quote_csv
from service.documents.quotation import html as quotation_html
from service.documents.quotation.paper import paper
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.documents.speech import Speech
from service.documents.ubl import quotation as quote_ubl
from service.documents.workbook import quote as quote_xlsx
from tests.counts import some, some_of
from tests.documents import made as papers
from tests.documents.made import of
from tests.documents.quotes import NASTY, demo, fleet, nasty, none_ready
from tests.documents.test_bench_sheet import ATTACK, KNOWN

TEMPLATES = "{% for x in ().__class__.__base__.__subclasses__() %}{{ x }}{% endfor %}${7*7}#{7*7}<%= 7*7 %>{{7*7}}"
MARKUP = '<svg onload=alert(1)><a xlink:href="javascript:alert(1)">x</a></svg><!ENTITY x SYSTEM "file:///etc/hostname">&x;'
LONG = "長い覚え書き " * 700  # beyond 5,000 characters
TEXTS = (*NASTY, ATTACK, TEMPLATES, MARKUP, "مركب \u202eعكس\u202c 12,5 mm", '=HYPERLINK("http://x.example","x")', LONG)  # fmt: skip
HARMLESS = ("data:image/svg+xml;base64,", "data:image/svg+xml,", "/v1/quotes/")  # all that a page refers to


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
    "quotation": of(quotation_html.page),
    "quotation in German": partial(of(quotation_html.page), language="de"),
    "quotation on paper": of(paper),
    "bench sheet": partial(of(bench_sheet_html.page), known=KNOWN),
    "rig sheet": of(rig_sheet_svg.drawing),
    "first drawing": lambda document: papers.drawing(document, document["assemblies"][0]),
    "lines": of(quote_csv.lines),
    "bill": of(quote_csv.bill),
    "workbook": of(quote_xlsx.workbook),
    "ubl": of(quote_ubl.quotation),
}
PAGES, DRAWINGS = ("quotation", "quotation in German", "bench sheet"), ("rig sheet", "first drawing")
QUOTES = {
    **{f"text {place}": partial(written, TEXTS[place][: some(5_000, 300)]) for place in some_of(range(len(TEXTS)), 2)},
    "none ready": none_ready,
    "many assemblies": lambda: fleet(some(120, 8)),
}


@pytest.mark.parametrize(("form", "name"), some_of([(form, name) for form in FORMS for name in QUOTES], 14))
def test_equal_quotes_give_equal_bytes_that_can_be_read(form: str, name: str) -> None:
    document = QUOTES[name]()
    before = copy.deepcopy(document)
    made = FORMS[form](document)
    assert FORMS[form](copy.deepcopy(document)) == made
    assert document == before  # nobody writes in what others read
    if form in PAGES:
        html5lib.HTMLParser(strict=True).parse(made.decode())
    elif form == "quotation on paper":
        assert PdfReader(io.BytesIO(made)).pages
    elif form in DRAWINGS or form == "ubl":
        ET.fromstring(made)  # noqa: S314  # our own bytes
    elif form == "workbook":
        book = load_workbook(io.BytesIO(made))
        assert not [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f" or cell.hyperlink]
    else:
        wide = {len(row) for row in csv.reader(io.StringIO(made.decode("utf-8-sig"), newline=""))}
        assert len(wide) == 1


@pytest.mark.parametrize("text", some_of(TEXTS, 3))
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
    assert LONG.strip() in unescape(FORMS["quotation"](document).decode())
    assert LONG.strip() in FORMS["ubl"](document).decode()
    assert LONG.strip() in {
        str(cell.value).strip() for row in load_workbook(io.BytesIO(FORMS["workbook"](document)))["Summary"].iter_rows() for cell in row
    }


def pressed(made: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages).split())


def test_the_german_pdf_has_every_number_of_the_json_as_germans_write_it() -> None:
    document = demo(1)
    shown, said = pressed(of(paper)(document, "de")), Speech("de", "metric")
    amounts = [line["amount"] for line in document["lines"] if line["group"] in ("fitting", "labour")]
    amounts += [each["price"]["net"] for each in document["assemblies"] if each["price"]]
    amounts += [document["totals"][name] for name in ("lines", "tax_exclusive", "payable")]
    assert [each for each in amounts if " ".join(said.money(each, "USD").split()) not in shown] == []
    for each in document["assemblies"]:
        for name in ("measured_length", "target_length"):
            assert each[name] is None or each[name]["text"].replace(".", ",") in shown
