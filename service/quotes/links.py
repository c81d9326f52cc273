"""Makes and ends links to quotes: a customer's own link, and the reading link that is printed on documents."""

from __future__ import annotations

from datetime import UTC, timedelta

from flask import request

from service.auth.authenticate import keyring
from service.auth.link_tokens import signed
from service.credentials.keys import Kind
from service.http.caller import caller, key_name
from service.http.current import engine, lifecycles, store
from service.http.current import settings as the_settings
from service.http.problems import Problem, fault
from service.lifecycle.actions import LinkEnding, LinkOrder
from service.lifecycle.events import EventType
from service.lifecycle.links import Linked, ended, ends_at, latest
from service.settings import this_machine
from service.storage import Event, NoQuote, Stored, moment


def secret_ready() -> None:
    """For a quote requested through a form, create the secret that signs its link, if there is none yet, before anything is written."""
    if _by_a_form():
        with store().apart():
            keyring().newest_secret()


def link_header(quote_id: str) -> dict[str, str]:
    """The header linking a form user to the quote just made, since the publishable key cannot read stored quotes. Empty for other
    callers.
    """
    if not _by_a_form():
        return {}
    href = link_of(quote_id, LinkOrder())["href"]
    return {"Link": f'<{href}&format=html>; rel="alternate"; type="text/html"'}


def _by_a_form() -> bool:
    who = caller()
    return who is not None and who.kind is Kind.PUBLISHABLE


def linked(quote_id: str, order: LinkOrder) -> dict[str, str]:
    """Create a customer's link to a quote. Raises NoQuote; Problem (409) if the link would not open the quote any more."""
    found = _linked(quote_id)
    if ended(found, engine().today(), the_settings().now()):
        words = "The quote's last day has passed, so a link would not open it: issue a revision, and make a link to that."
        raise Problem(409, words, [fault("#", "link_ended", words)])
    return _link(quote_id, found, order)


def link_of(quote_id: str, order: LinkOrder) -> dict[str, str]:
    """Create a customer's link to a quote that was just made, and whose links therefore cannot have ended."""
    return _link(quote_id, _linked(quote_id), order)


def reading_link(stored: Stored) -> str | None:
    """The URL of the quotation's page for whoever has the quote on paper. Nothing is stored for it, and the same state of the quote and of the
    shop's links always gives the same URL.

    None if the shop has no public base URL, if there is no secret to sign with, or if no link would open the quote.
    """
    base, secret, found = the_settings().base_url, keyring().secret_to_sign(), _linked(stored.id)
    if base is None or secret is None or ended(found, engine().today(), the_settings().now()):
        return None
    expires = int(latest(found, engine().zone).timestamp())
    token = signed(secret.id, secret.secret, stored.id, expires, found.generation, reads=True)
    return f"{base}/v1/quotes/{stored.id}?format=html&token={token}"


def end_links(quote_id: str, ending: LinkEnding) -> dict[str, str]:
    """End every link to a quote that has been made so far. Raises NoQuote."""
    at = moment()
    lifecycles().end_links(quote_id, Event(at, EventType.LINKS_ENDED.value, ending.by, key=key_name()))
    return {"quote_id": quote_id, "ended_at": at}


def _linked(quote_id: str) -> Linked:
    found = store().linked(quote_id)
    if found is None:
        raise NoQuote(quote_id)
    return found


def _link(quote_id: str, found: Linked, order: LinkOrder) -> dict[str, str]:
    """The link; without `url` if the shop has not configured its public address."""
    zone = engine().zone
    bound = latest(found, zone) if order.days is None else the_settings().now() + timedelta(days=order.days)
    secret = keyring().newest_secret()
    token = signed(secret.id, secret.secret, quote_id, int(bound.timestamp()), found.generation)
    href = f"/v1/quotes/{quote_id}?token={token}"
    until = min(bound, ends_at(found, zone)).astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    at = address()
    return {"quote_id": quote_id, **({} if at is None else {"url": at + href}), "href": href, "expires_at": until}


def address() -> str | None:
    """The base URL of links: the configured one; otherwise, only on this machine, the address the request was sent to.

    The `Host` header is chosen by the sender: a link built from it would lead a customer, and the link's token, to whoever wrote
    it.
    """
    settings = the_settings()
    if settings.base_url is not None or not settings.loopback:
        return settings.base_url
    return request.host_url.rstrip("/") if this_machine(request.host) else settings.address
