"""Links to quotes, made for a moment that ends."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import cast

from flask import current_app

from service.guard.entrance import keyring
from service.guard.links import signed
from service.life.said import LinkOrder
from service.settings import Settings
from service.steps import quote


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
