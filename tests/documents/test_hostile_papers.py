"""Every PDF with names of any length and script, many assemblies, or none that has a figure: it comes out, and keeps to its sheet."""

from __future__ import annotations

import copy
import io
import unicodedata
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from pypdf import PdfReader

from pricing.document import read
from pricing.model import Quote
from service.documents import glyphs
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.bench_sheet.paper import paper as bench_sheet
from service.documents.drawing_paper import paper as drawing_paper
from service.documents.labels.paper import paper as labels
from service.documents.quotation.paper import paper as quotation
from service.documents.rig_sheet import svg as rig_sheet_svg
from tests.counts import some, some_of
from tests.documents.quotes import demo, fleet, none_ready
from tests.documents.test_bench_sheet import KNOWN


def first_drawing(quote: Quote, language: str) -> bytes:
    return assembly_svg.drawing(quote, quote.assemblies[0], language)


PAPERS: dict[str, Callable[[Quote, str], bytes]] = {
    "quotation": quotation,
    "rig sheet": partial(drawing_paper, rig_sheet_svg.drawing),
    "drawing": partial(drawing_paper, first_drawing),
    "bench sheet": lambda quote, language: bench_sheet(quote, KNOWN, language),
    "labels": labels,
}
PLANES = [
    "".join(character for point in range(start, start + 0x4000, 7) if unicodedata.category(character := chr(point)) not in {"Cn", "Cs"})
    for start in range(0, 0x110000, 0x4000)
]
NAMES = {
    "a long word": "W" * 300,
    "a long word of Arabic": "م" * 300,
    "right to left": "מרכב \u202eהפוך\u202c 12 (7) \u2067x",
    "marks on marks": "e" + "\u0301\u0323\u20dd" * 40 + " ก" + "\u0e49" * 9 + " " + "\u0915\u094d" * 30,
    "a path": "../../etc/passwd",
    "markup": '#panic() <svg onload=x> \\u{0} ]] " $x$ @ref',
    "a joined family": "👩‍👩‍👧‍👦 🏴\U000e0067\U000e0062\U000e007f ⛵\ufe0f",
}


def named(text: str) -> dict[str, Any]:
    """A boat of two assemblies whose every name is this one."""
    document = copy.deepcopy(demo(1))
    del document["assemblies"][2:]
    document |= {"note": text, "customer": dict.fromkeys(("name", "reference", "email"), text) | {"address": None}}
    document["boat"]["name"] = document["seller"]["name"] = document["seller"]["payment_terms"] = text
    for place, each in enumerate(document["assemblies"]):
        each |= {"tag": f"{text}{place}", "note": text}
        each["wire"]["name"] = text
        for part in each["parts"]:
            part["name"] = text
    return document


def made(form: str, document: dict[str, Any], language: str = "en") -> PdfReader:
    return PdfReader(io.BytesIO(PAPERS[form](read(document), language)))


@pytest.mark.parametrize(("form", "name"), some_of([(form, name) for form in PAPERS for name in NAMES], 3))
def test_any_name_comes_out_and_stays_on_the_sheet(form: str, name: str) -> None:
    reader = made(form, named(NAMES[name]), "de")
    for page in reader.pages:
        page.extract_text(visitor_text=partial(_judge, float(page.mediabox.width)))


@pytest.mark.long
@pytest.mark.parametrize(("letter", "count"), [("م", 2_000), ("W", 10_000), ("帆", 4_000)])
def test_thousands_of_letters_come_out(letter: str, count: int) -> None:
    """In every name: no request may have more than 300 in one, nor more than 40 in a tag. Arabic takes longest to shape."""
    for form, paper in PAPERS.items():
        assert paper(read(named(letter * count)), "en").startswith(b"%PDF-1.7"), form


def _judge(wide: float, text: str, user: list[float], matrix: list[float], *_: object) -> None:
    if text.strip():
        assert 0 <= user[4] + matrix[4] * user[0] <= wide, text


@pytest.mark.parametrize("plane", some_of(range(len(PLANES)), 3))
def test_every_plane_of_unicode_comes_out(plane: int) -> None:
    if not PLANES[plane]:
        return  # nothing is assigned here
    document = named("Tern")
    document["note"] = PLANES[plane]
    said = "".join(page.extract_text() for page in made("quotation", document).pages)
    whole = {each for each in PLANES[plane] if each.isascii() and each.isalnum()}
    assert whole <= set(said)


@pytest.mark.parametrize("form", PAPERS)
def test_two_hundred_assemblies_come_out(form: str) -> None:
    """As many as a request may have (openapi.yaml, `maxItems`), in a thorough run."""
    many = fleet(some(200, 5))
    reader = made(form, many)
    assert reader.pages
    if form == "quotation":
        said = "".join(page.extract_text() for page in reader.pages)
        assert all(each["tag"] in said for each in many["assemblies"])


@pytest.mark.parametrize("form", PAPERS)
def test_assemblies_without_any_figure_come_out(form: str) -> None:
    document = none_ready()
    del document["assemblies"][some(12, 2) :]
    for each in document["assemblies"]:
        each |= {"measured_length": None, "target_length": None, "uncertainty": None, "wire": None, "parts": [], "price": None}
    said = "".join(page.extract_text() for page in made(form, document).pages)
    assert "$" not in said
    assert document["assemblies"][0]["tag"] in said


def test_no_template_imports_a_package_or_reads_a_file() -> None:
    for path in glyphs.FONTS.parent.rglob("*.typ"):
        text = path.read_text(encoding="utf-8")
        assert '"@' not in text, path
        assert not [word for word in ("read(", "csv(", "toml(", "yaml(", "xml(", "cbor(", "plugin(", "eval(") if word in text], path
