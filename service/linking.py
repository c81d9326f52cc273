"""Links to quotes, made for a moment that ends."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import cast

from flask import current_app

from service.guard.entrance import caller, keyring
from service.guard.keys import Kind
from service.guard.links import signed
from service.life.said import LinkOrder
from service.parts import store
from service.settings import Settings
from service.steps import quote

FORM_DAYS = 30  # how long the one who asked by a form can read the quote by its link


def secret_ready() -> None:
    """Where a quote is asked for by a form, make the secret that its link is signed with, should there be none yet: before anything is written."""
    if _by_a_form():
        with store().apart():
            keyring().newest_secret()


def link_header(quote_id: str, host: str) -> dict[str, str]:
    """The header that gives who asked by a form a link to the quote just made: its publishable key can read nothing stored. Empty for others."""
    if not _by_a_form():
        return {}
    href = link_of(quote_id, LinkOrder(FORM_DAYS), host)["href"]
    return {"Link": f'<{href}&format=html>; rel="alternate"; type="text/html"'}


def _by_a_form() -> bool:
    who = caller()
    return who is not None and who.kind is Kind.PUBLISHABLE


def linked(quote_id: str, order: LinkOrder, host: str) -> dict[str, str]:
    """A link to a quote. `host` is where the service answers, with a slash at its end. Raises NoQuote."""
    quote(quote_id)
    return link_of(quote_id, order, host)


def link_of(quote_id: str, order: LinkOrder, host: str) -> dict[str, str]:
    """The same for a quote that is known to be there."""
    now = cast("Settings", current_app.extensions["settings"]).now()
    expires = int((now + timedelta(days=order.days)).timestamp())
    secret = keyring().newest_secret()
    href = f"/v1/quotes/{quote_id}?token={signed(secret.id, secret.secret, quote_id, expires)}"
    until = datetime.fromtimestamp(expires, UTC).isoformat().replace("+00:00", "Z")
    return {"quote": quote_id, "url": host.rstrip("/") + href, "href": href, "expires": until}
