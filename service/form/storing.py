"""A quote requested from a page: stored once however often the page is sent; its customer is led to it by a link."""

from __future__ import annotations

from flask import Response, request

from pricing.assembly import QuoteRequest
from service.guard.entrance import keyring
from service.life.said import LinkOrder
from service.linking import FORM_DAYS, link_of
from service.once import once_as
from service.parts import engine, stock, store


def stored_once(asked: QuoteRequest, body: bytes, once: str, language: str) -> Response:
    """303 to the quotation in that language. `body`: what `asked` was read from; `once`: the page's own key. Raises Problem (409, 422)."""

    def carried_out() -> Response:
        made = engine().quote_and_plan(asked, stock())
        stored, _ = store().issue(made.document, body, made.bench)
        link = link_of(stored.id, LinkOrder(FORM_DAYS), request.host_url)
        return Response(status=303, headers={"Location": f"{link['href']}&lang={language}&format=html"})

    keyring().newest_secret()  # made, where there is none yet, before the transaction begins
    return once_as(once, carried_out, lambda: (body,))
