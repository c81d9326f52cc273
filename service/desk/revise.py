"""Revising a quote by the questions of the customer's form: its answers are there already, and what it would change is seen first."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response, request

from service.desk.pages import HTML, language
from service.desk.quote import quote_page
from service.desk.revising import Revision, style
from service.desk.words import Refusal, said
from service.http.responses import produces, reply
from service.web_form.pages import Told
from service.web_form.visit import shown, turned

revise = Blueprint("desk_revise", __name__)


@revise.get("/desk/form.css")
@produces("text/css")
def styled() -> Response:
    """The style of the form at the desk."""
    return reply(style().encode(), headers={"Cache-Control": "max-age=3600"}, media="text/css")


@revise.get("/desk/quotes/<uuid:quote_id>/revise")
@produces(HTML)
def page(quote_id: UUID) -> Response:
    """The quote's answers. Of one that cannot be revised, its page, which says so."""
    errand = Revision(str(quote_id))
    view = errand.view(language())
    if not view.may("revise"):
        return _impossible(quote_id, "not_to_be_revised")
    if not errand.readable:
        return _impossible(quote_id, "of_long_ago")
    form = errand.form(language())
    return shown(errand, form, errand.stored(form).draft(), Told())


@revise.post("/desk/quotes/<uuid:quote_id>/revise")
@produces(HTML)
def go_on(quote_id: UUID) -> Response:
    """The next page; at the end, the revision."""
    return turned(Revision(str(quote_id), request.form.get("seen", "")), request.form)


def _impossible(quote_id: UUID, why: str) -> Response:
    return quote_page(str(quote_id), 409, refusal=Refusal(*said(why)))
