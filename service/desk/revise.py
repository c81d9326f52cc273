"""Revising a quote in the customer's form: the answers are filled in, and what would change is shown before the revision is issued."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response, request

from service.desk.pages import HTML, language
from service.desk.quote import quote_page
from service.desk.refusal_words import own_refusal
from service.desk.revision_errand import Revision, style
from service.http.responses import produces, reply
from service.web_form.pages import Feedback
from service.web_form.visit import next_page, page_response

revise = Blueprint("desk_revise", __name__)


@revise.get("/desk/form.css")
@produces("text/css")
def form_style() -> Response:
    """The style of the form at the desk."""
    return reply(style().encode(), headers={"Cache-Control": "max-age=3600"}, media="text/css")


@revise.get("/desk/quotes/<uuid:quote_id>/revise")
@produces(HTML)
def page(quote_id: UUID) -> Response:
    """The form filled in with the quote's answers. If it cannot be revised: the quote's page, which says why."""
    errand = Revision(str(quote_id))
    view = errand.view(language())
    if not view.may("revise"):
        return _cannot_be_revised(quote_id, "not_to_be_revised")
    if not errand.readable:
        return _cannot_be_revised(quote_id, "of_long_ago")
    form = errand.form(language())
    return page_response(errand, form, errand.stored(form).draft(), Feedback())


@revise.post("/desk/quotes/<uuid:quote_id>/revise")
@produces(HTML)
def post_page(quote_id: UUID) -> Response:
    """The page after a posted one; at the end, the revision."""
    return next_page(Revision(str(quote_id), request.form.get("seen", "")), request.form)


def _cannot_be_revised(quote_id: UUID, why: str) -> Response:
    return quote_page(str(quote_id), 409, refusal=own_refusal(why))
