"""Whoever has a quote's paper has its reading link: they read the quote and ask about it, and decide with its e-mail address."""

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
    """Raises Problem if the caller comes by a reading link and may not decide: 409 for a quote without an e-mail address, 422 without one
    given or with another than the quote's, 429 once several were tried; NoQuote.

    Each address that is compared counts, the right one too: what is wrong of it is told by no difference but that of the answer.
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
    found: str | None = stored.said()["customer"]["email"]
    return found if found and found.strip() else None


def _digest(address: str) -> bytes:
    """Of one length for all, so that the time of comparing tells nothing of the address's."""
    return sha256(address.strip().casefold().encode("utf-8", "replace")).digest()
