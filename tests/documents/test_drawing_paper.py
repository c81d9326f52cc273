"""Drawings on paper: each page of the drawing is one page of the paper, at full size, with the drawing's title and text alternative."""

import io
import re
from functools import cache, partial
from html import unescape
from math import ceil

import pytest
from pypdf import PdfReader

from pricing.document import read as quote_of
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.drawing_paper import paper
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.documents.svg.paper import STANDING
from tests.counts import some_of

from .quotes import demo


@cache
def rig(name="metric"):
    return quote_of(demo(1 if name == "metric" else 0))


def assembly(quote, language, place=0):
    return assembly_svg.drawing(quote, quote.assemblies[place], language)


def read(draw, quote, language="en"):
    return PdfReader(io.BytesIO(paper(draw, quote, language)))


def figures(node):
    node = node.get_object()
    if node.get("/S") == "/Figure":
        yield node
    kids = node.get("/K")
    for kid in kids if isinstance(kids, list) else [kids]:
        if isinstance(kid.get_object() if kid is not None else None, dict):
            yield from figures(kid)


def box_of(figure):
    """Where a figure stands, in points (ISO 32000-1, table 344, `BBox`)."""
    (found,) = (each.get_object()["/BBox"] for each in figure["/A"] if "/BBox" in each.get_object())
    return [float(each) for each in found]


@pytest.mark.parametrize(("name", "size"), [("metric", (210, 297)), ("imperial", (215.9, 279.4))])
def test_it_is_set_on_the_sheet_of_its_units_at_full_size(name, size):
    """A4 by ISO 216, Letter by ANSI/ASME Y14.1."""
    quote = rig(name)
    found = read(assembly, quote)
    box = found.pages[0].mediabox
    assert [float(side) * 25.4 / 72 for side in (box.width, box.height)] == pytest.approx(size, abs=0.1)
    left, bottom, right, top = box_of(next(figures(found.trailer["/Root"]["/StructTreeRoot"])))
    printed = float(re.search(r'width="([\d.]+)mm"', assembly(quote, "en").decode())[1])  # as the drawing says of itself
    assert (right - left) * 25.4 / 72 == pytest.approx(printed, abs=0.1)
    assert (top - bottom) * 25.4 / 72 <= size[1]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("draw", [assembly, rig_sheet_svg.drawing])
def test_it_has_the_title_and_the_alternative_of_the_drawing(draw, language):
    svg = draw(rig(), language).decode()
    found = read(draw, rig(), language)
    root = found.trailer["/Root"]
    assert found.metadata.title == re.search(r"<title[^>]*>(.*?)</title>", svg)[1]
    assert root["/Lang"] == language
    assert "<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data().decode()  # ISO 14289-1, 5
    first, *others = figures(root["/StructTreeRoot"])
    described = re.search(r"<desc[^>]*>(.*?)</desc>", svg)[1]
    assert first["/Alt"].replace("\u200b", "").split() == unescape(described).split()
    assert [each["/Alt"] for each in others] == [
        {"en": f"page {at} of {len(others) + 1}", "de": f"Seite {at} von {len(others) + 1}"}[language] for at in range(2, len(others) + 2)
    ]


def test_a_long_drawing_is_set_page_by_page_and_nothing_is_left_out():
    quote = rig("imperial")
    pages = [page.extract_text() for page in read(rig_sheet_svg.drawing, quote).pages]
    height = float(re.search(r'height="([\d.]+)mm"', rig_sheet_svg.drawing(quote).decode())[1])
    assert len(pages) == ceil(height / STANDING.page_mm) > 1
    assert all(each.tag in " ".join(pages) for each in quote.assemblies)


def test_equal_quotes_give_equal_bytes():
    assert paper(assembly, rig(), "de") == paper(assembly, rig(), "de")


@pytest.mark.parametrize("name", some_of(["⛵ Möwe", "طاقم شراع", "左舷", "W" * 100, "</svg><script>"], 2))
def test_any_boat_has_its_drawings_on_paper(name):
    document = {**demo(1), "boat": {**demo(1)["boat"], "name": name}}
    quote = quote_of(document)
    said = read(partial(assembly, place=1), quote).pages[0].extract_text()
    assert quote.assemblies[1].tag in said
    assert len(read(rig_sheet_svg.drawing, quote).pages) >= 1
