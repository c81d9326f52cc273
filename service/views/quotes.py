"""Quotes: make one, preview one, read one, list them."""

from __future__ import annotations

from dataclasses import asdict
from uuid import UUID

from flask import Blueprint, Response, request

from service.batched import begun, later
from service.bodies import decoded, read_body
from service.jobs.receiving import received_alone
from service.linking import link_header, secret_ready
from service.once import once
from service.paging import page_after, page_asked
from service.parameters import takes, takes_its_own
from service.parts import engine, price_lists, stock, store
from service.quote_forms import MEDIA, in_form
from service.replies import offers, reply, reply_json
from service.schemas import read_request
from service.steps import quote, relations

quotes = Blueprint("quotes", __name__)


@quotes.post("/v1/quotes")
@once
def issue() -> Response:
    """A numbered quote, stored."""
    body = read_body()
    asked = read_request(decoded(body), price_lists())
    if later():
        response = begun(received_alone(body))
        response.headers["Preference-Applied"] = "respond-async"
        return response
    secret_ready()
    made = engine().quote_and_plan(asked, stock())
    stored, said = store().issue(made.document, body, made.bench)
    headers = {"Location": f"/v1/quotes/{stored.id}", "ETag": f'"{stored.etag}"'}
    return reply(said, 201, {**headers, **link_header(stored.id, request.host_url)})


@quotes.post("/v1/quotes/preview")
def preview() -> Response:
    """The same answer without a number; nothing is stored."""
    asked = read_request(decoded(read_body()), price_lists())
    return reply_json({"status": "preview", **engine().quote(asked)})


@quotes.get("/v1/quotes/<uuid:quote_id>")
@offers(*MEDIA.values())
@takes("format", "lang", "table")
def read(quote_id: UUID) -> Response:
    """A stored quote, as it was said, in the form that is asked for."""
    stored = quote(str(quote_id))
    return in_form(stored, relations(stored))


@quotes.get("/v1/quotes")
@takes_its_own
def listed() -> Response:
    """Quotes, newest first, a page at a time."""
    limit, before = page_asked(request.args)
    shown, headers, following = page_after(store().page(limit + 1, before), limit)
    day = engine().today()
    return reply_json({"quotes": [asdict(each.on(day)) for each in shown], "next": following}, headers=headers)
