"""A link to one quote, for the customer."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response, request

from service.bodies import decoded, read_body
from service.linking import linked
from service.replies import reply_json
from service.schemas.life import LINK, read

links = Blueprint("links", __name__)


@links.post("/v1/quotes/<uuid:quote_id>/links")
def make(quote_id: UUID) -> Response:
    """A link that shows the quote, and lets it be accepted or declined, for some days."""
    made = linked(str(quote_id), read(LINK, decoded(read_body())), request.host_url)
    return reply_json(made, 201, {"Location": made["href"]})
