"""Documents of a stored quote that have an address of their own: drawings, and what the bench builds from."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service import bench_forms
from service.documents import assembly_svg, rig_sheet_svg
from service.forms import SVG, reply_form
from service.parameters import takes
from service.problems import Problem
from service.quote_forms import Document, file_name, whole
from service.replies import offers
from service.steps import quote

documents = Blueprint("documents", __name__)


@documents.get("/v1/quotes/<uuid:quote_id>/assemblies/<tag:tag>/drawing")
@offers(SVG.media)
def drawing(quote_id: UUID, tag: str) -> Response:
    """One assembly, drawn."""
    stored = quote(str(quote_id))
    document = whole(stored)
    place, assembly = _with_tag(document, tag)
    of = f"{stored.etag}-assembly-{place}"
    return reply_form(SVG, lambda: assembly_svg.drawing(document, assembly), of, f"{file_name(stored)}-{tag}")


def _with_tag(document: Document, tag: str) -> tuple[int, Document]:
    """The assembly of a tag, and its place. Raises Problem (404)."""
    for place, assembly in enumerate(document["assemblies"]):
        if assembly["tag"] == tag:
            return place, assembly
    known = ", ".join(each["tag"] for each in document["assemblies"])
    raise Problem(404, f"The quote has no assembly {tag!r}; it has {known}. In an address a tag is percent-encoded.")


@documents.get("/v1/quotes/<uuid:quote_id>/rig-sheet")
@offers(SVG.media)
def rig_sheet(quote_id: UUID) -> Response:
    """All assemblies to one scale."""
    stored = quote(str(quote_id))
    return reply_form(SVG, lambda: rig_sheet_svg.drawing(whole(stored)), f"{stored.etag}-rig", f"{file_name(stored)}-rig")


@documents.get("/v1/quotes/<uuid:quote_id>/bench-sheet")
@offers(*bench_forms.MEDIA.values())
@takes("format")
def bench_sheet(quote_id: UUID) -> Response:
    """What the bench builds from."""
    return bench_forms.in_form(quote(str(quote_id)))
