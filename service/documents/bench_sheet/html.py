"""The bench sheet as a page (HTML, UTF-8), to read on a telephone and to print: one sheet of paper per assembly, followed by its
drawing.

Nothing is fetched: styles and drawings are embedded, and there is no script. Equal quotes give equal bytes.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from jinja2 import Template
from markupsafe import Markup

from pricing.model import Quote
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.bench_sheet.document import bench_sheet, may_be_cut
from service.documents.bench_sheet.drawn import pages
from service.documents.bench_sheet.known import Known
from service.documents.paper_pages import environment
from service.documents.speech import speech_in
from service.style import hashes, style_of

_FOLDER = Path(__file__).parent
STYLE = style_of(_FOLDER / "page.css")
MOST_ROWS = 40  # rows to sign, for identical pieces
PAPERS = {
    units: f'@page {{ size: {paper}; margin: 11mm 12mm; @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt sans-serif }} }}'
    for units, paper in (("metric", "A4"), ("imperial", "letter"))
}


def page(quote: Quote, known: Known, language: str = "en") -> bytes:
    """The bench sheet of a stored quote, on the paper that matches its units."""
    sheet, speech = bench_sheet(quote, known, language), speech_in(language, quote.display_units)
    drawings = [
        pages(assembly_svg.drawing(quote, each, language, remarked=False)) if may_be_cut(quote, each) else [] for each in quote.assemblies
    ]
    style, paper = Markup(STYLE), Markup(PAPERS[quote.display_units])  # noqa: S704  # this module's own text, none from users
    return (
        _template(speech.language).render(sheet=sheet, speech=speech, rows=MOST_ROWS, drawings=drawings, style=style, paper=paper).encode()
    )


def style_hashes() -> str:
    """The Content-Security-Policy sources that allow exactly these styles."""
    return hashes((STYLE, *PAPERS.values()))


@cache
def _template(language: str) -> Template:
    return environment(_FOLDER, language).get_template("page.html")
