"""Reading links, which are printed on a quote's documents: whoever has the paper may read the quote and ask about it, but needs the customer's
e-mail address to accept or decline.
"""

from __future__ import annotations

import hmac
from hashlib import sha256

from service.http.caller import by_reading_link
from service.http.current import store
from service.http.problems import Problem, fault
from service.rate_limit.enforce import count_address
from service.storage import NoQuote, Stored

_AT = "#/customer/email"


def judge_reader(quote_id: str, given: str | None) -> None:
    """For callers with a reading link, raises Problem unless `given` is the quote's e-mail address: 409 if the quote has none, 422 if it is
    missing or different, 429 after too many attempts. Raises NoQuote.

    Every comparison counts as an attempt, including a successful one, so the limit does not reveal whether an address was right.
    """
    if not by_reading_link():
        return
    stored = store().get(quote_id)
    if stored is None:
        raise NoQuote(quote_id)
    known = address_of(stored)
    if known is None:
        words = "This quote has no e-mail address to compare yours with: ask the shop for a link of your own."
        raise Problem(409, words, [fault("#", "no_address", words)])
    if given is None:
        words = "A reading link alone cannot accept or decline: send the e-mail address with which the quote was requested."
        raise Problem(422, words, [fault(_AT, "required", words)])
    count_address(quote_id)
    if not hmac.compare_digest(_digest(given), _digest(known)):
        words = "This is not the e-mail address with which the quote was requested: send that one, or ask the shop for a link of your own."
        raise Problem(422, words, [fault(_AT, "other_address", words)])


def address_of(stored: Stored) -> str | None:
    """The e-mail address of the quote's customer; None if none was given, or if it was erased."""
    found: str | None = stored.parsed()["customer"]["email"]
    return found if found and found.strip() else None


def _digest(address: str) -> bytes:
    """A digest of fixed length, so that the time of the comparison does not reveal the length of the address."""
    return sha256(address.strip().casefold().encode("utf-8", "replace")).digest()
