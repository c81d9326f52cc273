"""A customer's link to one quote: a token signed with the server's secret (HMAC-SHA-256), valid for that quote only and for a limited
time.

The token is `SECRET_ID.EXPIRES.MAC`, with `EXPIRES` in seconds since 1970. If links to the quote have been ended before, it is
`SECRET_ID.EXPIRES.GENERATION.MAC`, where GENERATION is how many times. A reading token, which is printed on documents, has `r.` before its
MAC, and is signed as such. Tokens are not stored: withdrawing the secret invalidates all links, and ending the links to one quote invalidates
its tokens of earlier generations.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
from typing import NamedTuple

_SHAPE = re.compile(r"([0-9a-f]{12})\.([1-9][0-9]{0,11})(?:\.([1-9][0-9]{0,8}))?(\.r)?\.([A-Za-z0-9_-]{43})", re.ASCII)


class BadToken(Exception):
    """The token is not valid; the message gives the reason as far as it may be disclosed."""


class Verified(NamedTuple):
    """The contents of a valid token: its generation, and whether it is a reading token."""

    generation: int
    reads: bool


def signed(secret_id: str, secret: bytes, quote_id: str, expires: int, generation: int = 0, *, reads: bool = False) -> str:
    """A token for a quote, valid until `expires` (seconds since 1970). `reads`: a reading token. Equal arguments give equal tokens."""
    mac = _mac(secret, quote_id, expires, generation, reads)
    return ".".join((secret_id, str(expires), *([str(generation)] if generation else []), *(["r"] if reads else []), mac))


def secret_named(token: str) -> str | None:
    """The id of the secret that a token claims to be signed with; None if the text is not a token."""
    found = _SHAPE.fullmatch(token)
    return found[1] if found else None


def verify(token: str, secret: bytes | None, quote_id: str, now: float) -> Verified:
    """The token's contents. Raises BadToken unless it was signed with this secret for this quote and has not expired (`now` in seconds since
    1970).
    """
    found = _SHAPE.fullmatch(token)
    if found is None or secret is None:
        raise BadToken("The link is not valid, or the shop withdrew it: ask the shop for another.")
    expires, generation, reads = int(found[2]), int(found[3] or 0), found[4] is not None
    if not hmac.compare_digest(found[5], _mac(secret, quote_id, expires, generation, reads)):
        raise BadToken("The link is not valid for this quote: use it as it was sent.")
    if now >= expires:
        raise BadToken("The link has expired: ask the shop for another.")
    return Verified(generation, reads)


def _mac(secret: bytes, quote_id: str, expires: int, generation: int, reads: bool) -> str:
    message = f"quote {quote_id} until {expires}{f' generation {generation}' if generation else ''}{' to read' if reads else ''}"
    mac = hmac.digest(secret, message.encode(), hashlib.sha256)
    return base64.urlsafe_b64encode(mac).decode().rstrip("=")
