"""The bench sheet on paper (PDF), on the sheet that matches its units: an overview, then one page for each assembly."""

from __future__ import annotations

from pricing.model import Quote
from service.documents import pdf
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.bench_sheet.document import bench_sheet, may_be_cut, tag_text
from service.documents.bench_sheet.fitting import set_to_fit
from service.documents.bench_sheet.known import Known
from service.documents.glyphs import shown
from service.documents.rig import words
from service.documents.speech import speech_in

TEMPLATE = "bench_sheet/paper.typ"
SIDES = ("one", "two")
_SHORT = 60


def paper(quote: Quote, known: Known, language: str = "en", sides: str = "one", only: int | None = None) -> bytes:
    """The bench sheet of a stored quote as a PDF, tagged by PDF/UA-1. Raises ValueError for a preview.

    `sides`: printed on how many sides of a sheet, one of `SIDES`. On two, each assembly begins a sheet of its own, and blank backs are
    put in; on one, no page is blank. `only`: the place of the one assembly to print, without the overview.
    """
    speech = speech_in(language, quote.display_units)
    drawn = [assembly_svg.figure(quote, each, speech) if may_be_cut(quote, each) else None for each in quote.assemblies]
    boat = words.boat_of(quote, speech)
    data = {
        **bench_sheet(quote, known, language),
        "tags": [[_short(line) for line in tag_text(quote, each, speech)] for each in quote.assemblies],
        "language": speech.language,
        "paper": "a4" if quote.display_units == "metric" else "us-letter",
        "units": ["metric", "imperial"] if quote.display_units == "metric" else ["imperial", "metric"],
        "issue": speech.say("%(number)s rev %(revision)s", number=quote.number, revision=quote.revision),
        "boat": boat,
        "boat_short": _short(boat),
        "day": quote.issued_on if speech.language == "en" else speech.day(quote.issued_on),
        "sides": sides,
        "drawings": [None if each is None else _inline(each) for each in drawn],
        "decimal": speech.decimal,
    }
    return pdf.pdf(TEMPLATE, set_to_fit(data, only, lambda part: pdf.pages(TEMPLATE, part, speech)), speech)


def _inline(svg: bytes) -> str:
    """A drawing without its XML declaration, to be set with the text around it."""
    return svg.decode().partition("?>")[2].lstrip()


def _short(name: str) -> str:
    """A name for the pages of the assemblies: all of it stands on the first page."""
    text = str(shown(name))
    return text if len(text) <= _SHORT else f"{text[: _SHORT - 1]}…"
