"""A link to one quote, for the customer."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service.http.bodies import decoded, read_body
from service.http.idempotency import idempotent
from service.http.responses import reply_json
from service.quotes.links import end_links, linked
from service.schemas.life import LINK, LINKS_ENDING, read

links = Blueprint("links", __name__)


@links.post("/v1/quotes/<uuid:quote_id>/links")
def make(quote_id: UUID) -> Response:
    """Create a link that shows the quote and lets the customer answer it."""
    made = linked(str(quote_id), read(LINK, decoded(read_body())))
    return reply_json(made, 201, {"Location": made["href"]})


@links.post("/v1/quotes/<uuid:quote_id>/links/end")
@idempotent
def end(quote_id: UUID) -> Response:
    """End every link to the quote that was made before."""
    return reply_json(end_links(str(quote_id), read(LINKS_ENDING, decoded(read_body()))))
