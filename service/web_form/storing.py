"""Stores a quote requested from a page, once however often the page is sent, and redirects the customer to it by a link."""

from __future__ import annotations

from flask import Response

from pricing.measurement.assembly import QuoteRequest
from service.auth.authenticate import keyring
from service.computing.asking import quoted
from service.http.caller import key_name
from service.http.current import store
from service.http.idempotency import run_once
from service.lifecycle.actions import LinkOrder
from service.quotes.by_hand import judge_by_hand
from service.quotes.links import link_of


def stored_once(asked: QuoteRequest, body: bytes, once: str, language: str) -> Response:
    """303 to the quotation in that language. `body`: what `asked` was read from; `once`: the page's idempotency key. Raises Problem
    (409, 422).
    """
    judge_by_hand(asked)

    def carried_out() -> Response:
        stored, _ = store().issue(quoted(asked), body, key_name())
        link = link_of(stored.id, LinkOrder())
        return Response(status=303, headers={"Location": f"{link['href']}&lang={language}&format=html"})

    keyring().newest_secret()  # created, if there is none yet, before the transaction begins
    return run_once(once, carried_out, lambda: (body,))
