"""Quotes: issue, preview, read and list."""

from __future__ import annotations

from urllib.parse import urlencode
from uuid import UUID

from flask import Blueprint, Response, request

from service.api.search_parameters import following, read_search
from service.batches.lookup import batch_accepted, prefers_async
from service.batches.receiving import received_alone
from service.computing.asking import previewed, quoted, read_quote_request
from service.formats.quote import MEDIA, in_form
from service.formats.views import reply_quote, reply_viewed, requested_view
from service.http.bodies import read_body
from service.http.caller import key_name
from service.http.compression import compressed
from service.http.current import engine, store
from service.http.idempotency import idempotent
from service.http.parameters import query_parameters, validates_query_itself
from service.http.problems import unknown
from service.http.responses import produces, reply, reply_json
from service.quotes.actions import quote, relations
from service.quotes.by_hand import by_publishable, judge_by_hand
from service.quotes.links import link_header, secret_ready
from service.storage.quote_filters import QuoteFilters
from service.storage.quote_search import QuoteSearch

quotes = Blueprint("quotes", __name__)


@quotes.post("/v1/quotes")
@compressed
@query_parameters("view")
@idempotent
def issue() -> Response:
    """Issue a numbered quote and store it."""
    view, body = requested_view(), read_body()
    quote_request = read_quote_request(body)
    judge_by_hand(quote_request)
    if prefers_async():
        response = batch_accepted(received_alone(body))
        response.headers["Preference-Applied"] = "respond-async"
        return response
    secret_ready()
    stored, document = store().issue(quoted(quote_request), body, key_name())
    headers = {"Location": f"/v1/quotes/{stored.id}", **link_header(stored.id)}
    return reply_quote(view, document, 201, stored.etag, headers)


@quotes.post("/v1/quotes/preview")
@compressed
@query_parameters("view")
def preview() -> Response:
    """The quote that `issue` would return, without a number; nothing is stored."""
    view = requested_view()
    return reply_viewed(view, previewed(read_body(), view.shown, judge_by_hand if by_publishable() else None))


@quotes.get("/v1/quotes/<uuid:quote_id>")
@produces(*MEDIA.values())
@query_parameters("attached", "format", "lang", "table", "view")
def read(quote_id: UUID) -> Response:
    """A stored quote as it was issued, in the requested format."""
    stored = quote(str(quote_id))
    return in_form(stored, relations(stored))


@quotes.get("/v1/quotes/<uuid:quote_id>/request")
def request_of(quote_id: UUID) -> Response:
    """The request that a quote was made from, for editing and sending as a revision."""
    stored, sent = store().with_request(str(quote_id))
    return reply(sent, headers={"ETag": f'"{stored.on(engine().today()).etag}"', "Cache-Control": "private, no-cache"})


@quotes.get("/v1/quotes/<number:number>")
@produces(*MEDIA.values())
@query_parameters("attached", "format", "lang", "table", "view")
def current(number: str) -> Response:
    """Redirect from a quote number to the latest issue, keeping the query."""
    found = store().current(number)
    if found is None:
        raise unknown("id", "unknown_quote", f"There is no quote {number}: `GET /v1/quotes` finds quotes.")
    query = urlencode(list(request.args.items(multi=True)))
    at = f"/v1/quotes/{found}" + (f"?{query}" if query else "")
    # temporary, since a revision changes the target (RFC 9110, 15.4.8); each issue has one URL of its own, to which its entity tags belong
    return Response(status=307, headers={"Location": at, "Cache-Control": "no-store"})


@quotes.get("/v1/quotes")
@validates_query_itself
def listed() -> Response:
    """List the quotes that pass the filters, one page at a time."""
    search = read_search(request.args)
    quote_search, waiting = QuoteSearch(store(), engine().today()), search.filters.waiting
    page = quote_search.page(search.filters, search.limit, search.after)
    cursor, headers = following(search, page.following)
    alone = waiting is not None and search.filters == QuoteFilters(waiting=waiting, sort=search.filters.sort)
    count = {"count": quote_search.waiting(waiting)} if waiting is not None and alone else {}
    return reply_json({"quotes": [each.as_json() for each in page.quotes], "next": cursor, **count}, headers=headers)
