"""Messages to the shop's webhooks that did not arrive. Endpoints are managed by the command line."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.http.current import messages
from service.http.pagination import page_after, requested_page
from service.http.parameters import validates_query_itself
from service.http.responses import reply_json

webhooks = Blueprint("webhooks", __name__)


@webhooks.get("/v1/webhooks/messages")
@validates_query_itself
def given_up() -> Response:
    """Messages that were given up, newest first, one page at a time."""
    limit, before = requested_page(request.args)
    shown, headers, following = page_after(messages().given_up(limit + 1, before), limit, "/v1/webhooks/messages")
    return reply_json(
        {"messages": [each._asdict() for each in shown], "next": following, "count": messages().count_given_up()}, headers=headers
    )
