"""Documents of a stored quote that have their own URL: drawings, the bench sheet and labels."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from flask import Blueprint, Response

from pricing.model import Quote, QuotedAssembly
from service.computing.asking import made_of
from service.documents.assembly_drawing import svg as assembly_svg
from service.documents.drawing_paper import Draw, paper
from service.documents.rig_sheet import svg as rig_sheet_svg
from service.formats import bench_sheet as bench_forms
from service.formats.labels import labels_of
from service.formats.quote import file_name, paper_language, quote_for_papers
from service.formats.replies import PDF, SVG, reply_form
from service.http.parameters import query_parameters
from service.http.problems import unknown
from service.http.responses import chosen, produces
from service.quotes.actions import quote
from service.storage import Stored

documents = Blueprint("documents", __name__)


DRAWN = {"svg": SVG.media, "pdf": PDF.media}


@documents.get("/v1/quotes/<uuid:quote_id>/assemblies/<tag:tag>/drawing")
@produces(*DRAWN.values())
@query_parameters("format", "lang")
def drawing(quote_id: UUID, tag: str) -> Response:
    """The drawing of one assembly."""
    stored = quote(str(quote_id))
    found = quote_for_papers(stored)
    place, assembly = _with_tag(found, tag)
    return _drawn(stored, found, partial(_assembly, assembly=assembly), f"assembly-{place}", tag, paper_language("the drawing", stored))


@documents.get("/v1/quotes/<uuid:quote_id>/rig-sheet")
@produces(*DRAWN.values())
@query_parameters("format", "lang")
def rig_sheet(quote_id: UUID) -> Response:
    """All assemblies drawn to one scale."""
    stored = quote(str(quote_id))
    return _drawn(stored, quote_for_papers(stored), rig_sheet_svg.drawing, "rig", "rig", paper_language("the rig sheet", stored))


def _assembly(found: Quote, language: str, assembly: QuotedAssembly) -> bytes:
    return assembly_svg.drawing(found, assembly, language)


def _drawn(stored: Stored, found: Quote, draw: Draw, what: str, name: str, language: str) -> Response:
    """A drawing, by itself or on paper, as the request prefers; `draw` can be pickled."""
    form = PDF if chosen(DRAWN) == PDF.media else SVG
    make = partial(made_of, stored, *([paper, draw] if form is PDF else [draw]), found, language)
    of, named = f"{stored.etag}-{what}-{language}", f"{file_name(stored)}-{name}-{language}"
    response = reply_form(form, make, of, named, {"Content-Language": language})
    response.vary.add("Accept-Language")
    return response


def _with_tag(found: Quote, tag: str) -> tuple[int, QuotedAssembly]:
    """The assembly with this tag, and its position. Raises Problem (404)."""
    for place, assembly in enumerate(found.assemblies):
        if assembly.tag == tag:
            return place, assembly
    known = ", ".join(each.tag for each in found.assemblies)
    raise unknown(
        "tag", "unknown_assembly", f"The quote has no assembly {tag!r}; its assemblies are {known}. Percent-encode the tag in the URL."
    )


@documents.get("/v1/quotes/<uuid:quote_id>/bench-sheet")
@produces(*bench_forms.MEDIA.values())
@query_parameters("format", "lang", "sides", "tag")
def bench_sheet(quote_id: UUID) -> Response:
    """The bench sheet: what the bench builds from."""
    return bench_forms.in_form(quote(str(quote_id)))


@documents.get("/v1/quotes/<uuid:quote_id>/labels")
@produces(PDF.media)
@query_parameters("on", "lang", "tag")
def labels(quote_id: UUID) -> Response:
    """A label for the tag of each piece."""
    return labels_of(quote(str(quote_id)))
