"""What a customer sends by the quotation's page."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, Response

from service.formats.answering import answered, to_the_page
from service.http.parameters import query_parameters
from service.http.responses import produces

customer = Blueprint("customer", __name__)


@customer.get("/v1/quotes/<uuid:quote_id>/reply")
@query_parameters("lang")
@produces("text/html")
def page(quote_id: UUID) -> Response:
    """Redirect to the quotation's page. A browser asks for this URL when a page that explained a rejected answer is reloaded."""
    return to_the_page(str(quote_id))


@customer.post("/v1/quotes/<uuid:quote_id>/reply")
@query_parameters("lang")
@produces("text/html")
def reply(quote_id: UUID) -> Response:
    """Accept, decline or ask by the forms of the page, and go back to it."""
    return answered(str(quote_id))
