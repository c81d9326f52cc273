"""The measuring sheet as a page of the plain form: get one, send it back filled in, see what was understood, request a quote."""

from __future__ import annotations

from flask import Blueprint, Response

from service.form.language import language_wanted
from service.form.sheet.offered import FORMATS, sheet_saved
from service.form.sheet.visit import begun, gone_on
from service.form.visit import HTML
from service.replies import chosen, offers

sheet_page = Blueprint("sheet_page", __name__)


@sheet_page.get("/form/sheet")
@offers(HTML, *FORMATS.values())
def offer() -> Response:
    """The page, or with `?format=` the sheet itself: its links carry no key."""
    media = chosen({"html": HTML, **FORMATS})
    return begun() if media == HTML else sheet_saved(media, language_wanted())


@sheet_page.post("/form/sheet")
@offers(HTML)
def take() -> Response:
    """What was understood of a sheet, or the quote that was requested of it."""
    return gone_on()
