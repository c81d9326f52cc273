"""Quotes: issue, preview, read and list."""

from __future__ import annotations

from dataclasses import asdict
from uuid import UUID

from flask import Blueprint, Response, request

from service.batches.lookup import begun, later
from service.batches.receiving import received_alone
from service.computing.asking import asked_of, previewed, quoted
from service.formats.quote import MEDIA, in_form
from service.formats.views import asked_view, reply_quote, reply_viewed
from service.http.bodies import read_body
from service.http.caller import key_name
from service.http.compression import compressed
from service.http.current import engine, store
from service.http.idempotency import idempotent
from service.http.pagination import page_after, page_asked
from service.http.parameters import query_parameters, validates_query_itself
from service.http.responses import produces, reply_json
from service.quotes.actions import quote, relations
from service.quotes.links import link_header, secret_ready

quotes = Blueprint("quotes", __name__)


@quotes.post("/v1/quotes")
@compressed
@query_parameters("view")
@idempotent
def issue() -> Response:
    """Issue a numbered quote and store it."""
    view, body = asked_view(), read_body()
    asked = asked_of(body)
    if later():
        response = begun(received_alone(body))
        response.headers["Preference-Applied"] = "respond-async"
        return response
    secret_ready()
    stored, said = store().issue(quoted(asked), body, key_name())
    headers = {"Location": f"/v1/quotes/{stored.id}", **link_header(stored.id)}
    return reply_quote(view, said, 201, stored.etag, headers)


@quotes.post("/v1/quotes/preview")
@compressed
@query_parameters("view")
def preview() -> Response:
    """The same answer without a number; nothing is stored."""
    view = asked_view()
    return reply_viewed(view, previewed(read_body(), view.shown))


@quotes.get("/v1/quotes/<uuid:quote_id>")
@produces(*MEDIA.values())
@query_parameters("attached", "format", "lang", "table", "view")
def read(quote_id: UUID) -> Response:
    """A stored quote as it was issued, in the requested format."""
    stored = quote(str(quote_id))
    return in_form(stored, relations(stored))


@quotes.get("/v1/quotes")
@validates_query_itself
def listed() -> Response:
    """List quotes, newest first, one page at a time."""
    limit, before = page_asked(request.args)
    shown, headers, following = page_after(store().page(limit + 1, before), limit)
    day = engine().today()
    return reply_json({"quotes": [asdict(each.on(day)) for each in shown], "next": following}, headers=headers)
