"""The bench sheet as a page (HTML, UTF-8), to read on a telephone and to print: one page of paper an assembly and its drawing after it.

Nothing is fetched: styles and drawings are in the page, and there is no script. Equal documents give equal bytes.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from service.documents import assembly_svg
from service.documents.bench_sheet import bench_sheet
from service.documents.benchsheet.drawn import pages
from service.documents.benchsheet.known import Known
from service.documents.cells import plain
from service.documents.rig.terms import Document

_FOLDER = Path(__file__).parent / "benchsheet"
STYLE = (_FOLDER / "page.css").read_text(encoding="utf-8")
MOST_ROWS = 40  # to sign, of pieces alike
PAPERS = {
    units: f'@page {{ size: {paper}; margin: 11mm 12mm; @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt sans-serif }} }}'
    for units, paper in (("metric", "A4"), ("imperial", "letter"))
}


def page(document: Document, known: Known) -> bytes:
    """The bench sheet of a stored quote; on the paper that goes with its units."""
    sheet = bench_sheet(document, known)
    both = zip(document["assemblies"], sheet["assemblies"], strict=True)
    drawings = [pages(assembly_svg.drawing(document, assembly, remarked=False)) if shown["cut"] else [] for assembly, shown in both]
    style, paper = Markup(STYLE), Markup(PAPERS[sheet["leads_with"]])  # noqa: S704  # this module's own, no text of anybody's
    return _template().render(sheet=sheet, rows=MOST_ROWS, drawings=drawings, style=style, paper=paper).encode()


def _own(text: object) -> Markup:
    """Somebody's own text, set apart so that its direction of writing turns nothing around it, without what no page can show."""
    return Markup("<bdi>{}</bdi>").format(plain(text))


def style_hashes() -> str:
    """What a Content-Security-Policy names to allow these very styles and no other (CSP 3, `hash-source`)."""
    return " ".join(f"'sha256-{_digest(each)}'" for each in (STYLE, *PAPERS.values()))


def _digest(style: str) -> str:
    return base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()


@cache
def _template() -> Template:
    environment = Environment(
        loader=FileSystemLoader(_FOLDER), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters.update(own=_own, plain=plain)
    return environment.get_template("page.html")
