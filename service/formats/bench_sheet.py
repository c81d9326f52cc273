"""The formats of a bench sheet, using the catalogue edition that its quote was made with."""

from __future__ import annotations

from collections.abc import Mapping

from flask import Response

from pricing.model import Quote
from service.documents.bench_sheet.document import bench_sheet, may_be_cut
from service.documents.bench_sheet.html import page, style_hashes
from service.documents.bench_sheet.known import Known
from service.documents.bench_sheet.paper import SIDES, paper
from service.encoding import json
from service.engine.catalogues import NotKept
from service.formats.base import Served, serve
from service.formats.cutting_plan import tags_of
from service.formats.quote import file_name, paper_language, quote_for_papers
from service.formats.replies import HTML, PDF, Form
from service.formats.tagged import asked_place
from service.http.current import catalogues, plans, shelves
from service.http.parameters import one_of
from service.http.problems import Problem, parameter_fault
from service.http.responses import JSON, chosen
from service.quotes.plan_orders import plan_of_quote
from service.storage import Edition, Stored, StoredPlan

MOST_PAGES = 60  # with figures: more of them may take more memory than a computation has


def _json(quote: Quote, known: Known, language: str) -> bytes:
    return json.write(bench_sheet(quote, known, language))


FORMS: Mapping[str, Served] = {
    "json": Served(Form(JSON, "json"), _json),
    "html": Served(HTML, page, styles=style_hashes),
    "pdf": Served(PDF, paper),
}
MEDIA = {name: served.form.media for name, served in FORMS.items()}


def in_form(stored: Stored) -> Response:
    """The bench sheet in the format and language the request prefers; as a PDF for printing on one side or on two (`sides`), of all assemblies
    or of one (`tag`). Raises Problem:
    406, 422 for an unknown language or choice.
    """
    media, language = chosen(MEDIA), paper_language("the bench sheet", stored)
    served = next(each for each in FORMS.values() if each.form.media == media)
    quote, plan = quote_for_papers(stored), _plan(stored)
    taken = None if plan is None else shelves().take_of(plan.id)
    known, sides = known_to(quote, plan, tags_of(taken)), one_of("sides", SIDES)
    place = asked_place(quote)
    printed = (sides, *_printed(quote, place)) if served.form is PDF else ()
    of = f"{stored.etag}-bench-{language}{'' if known.kept else '-bare'}{'' if plan is None else f'-{plan.etag[:8]}'}{f'-{taken.id[-12:]}' if taken else ''}"
    name, headers = f"{file_name(stored)}-bench-sheet-{language}", {"Content-Language": language}
    response = serve(served, stored, "-".join([of, *map(str, printed)]), name, lambda: (quote, known, language, *printed), headers)
    response.vary.add("Accept-Language")
    return response


def _printed(quote: Quote, place: int | None) -> tuple[int, ...]:
    """The assembly to print alone, if one is asked for. Raises Problem (422) if all are asked for and are too many."""
    if place is not None:
        return (place,)
    pages = sum(may_be_cut(quote, each) for each in quote.assemblies)
    if pages > MOST_PAGES:
        words = f"{pages} pages with figures are more than {MOST_PAGES}: ask for one assembly by its tag, or for HTML, which has all"
        raise Problem(422, "These are more pages than are made at once.", [parameter_fault("tag", "too_many_pages", words)])
    return ()


def _plan(stored: Stored) -> StoredPlan | None:
    """The quote's own plan, the one that was taken once its wire is cut; None if it cannot be planned."""
    if (taken := plans().taken_of(stored.id)) is not None:
        return taken
    try:
        return plan_of_quote(stored.id)
    except Problem as refused:
        if refused.status != 409:
            raise
        return None


def known_to(quote: Quote, plan: StoredPlan | None, tags: Mapping[str, str]) -> Known:
    """The tables that a quote was made with, if they are stored, and its plan, with the tags that its remnants got."""
    provenance, plan_document = quote.provenance, None if plan is None else plan.parsed()
    try:
        index = catalogues().of(Edition(provenance.catalogue, provenance.price_table)).catalogue.index
    except NotKept:
        return Known(plan=plan_document, tags=tags)
    return Known(index.article, index.thread, kept=True, plan=plan_document, tags=tags)
