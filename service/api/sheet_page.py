"""The measuring sheet as a page of the plain form: download it, send it back completed, see what was understood, and request a quote."""

from __future__ import annotations

from flask import Blueprint, Response

from service.http.responses import chosen, produces
from service.measuring_sheet.offered import FORMATS, sheet_saved
from service.measuring_sheet.visit import first_page, posted_page
from service.web_form.language import language_wanted
from service.web_form.visit import HTML

sheet_page = Blueprint("sheet_page", __name__)


@sheet_page.get("/form/sheet")
@produces(HTML, *FORMATS.values())
def offer() -> Response:
    """The page, or with `?format=` the sheet itself, since the links on the page carry no key."""
    media = chosen({"html": HTML, **FORMATS})
    return first_page() if media == HTML else sheet_saved(media, language_wanted())


@sheet_page.post("/form/sheet")
@produces(HTML)
def take() -> Response:
    """What was understood from a sheet, or the quote that was requested from it."""
    return posted_page()
