"""A customer's link to one quote: a token signed with the server's secret (HMAC-SHA-256), for that quote alone and until a moment.

The token is `SECRET_ID.EXPIRES.MAC`, `EXPIRES` in seconds since 1970. Nothing of it is kept: to withdraw the secret ends every link.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re

_SHAPE = re.compile(r"([0-9a-f]{12})\.([1-9][0-9]{0,11})\.([A-Za-z0-9_-]{43})", re.ASCII)


class BadToken(Exception):
    """A token that opens nothing; says why as far as it may be told."""


def signed(secret_id: str, secret: bytes, quote_id: str, expires: int) -> str:
    """A token for a quote until `expires`, seconds since 1970."""
    return f"{secret_id}.{expires}.{_mac(secret, quote_id, expires)}"


def secret_named(token: str) -> str | None:
    """The identifier of the secret that a token says it is signed with; None where the text is no token."""
    found = _SHAPE.fullmatch(token)
    return found[1] if found else None


def verify(token: str, secret: bytes | None, quote_id: str, now: float) -> None:
    """Raises BadToken unless it was signed with this secret for this quote and has not expired (`now` in seconds since 1970)."""
    found = _SHAPE.fullmatch(token)
    if found is None or secret is None:
        raise BadToken("The link is not valid, or the shop withdrew it: ask the shop for another.")
    expires = int(found[2])
    if not hmac.compare_digest(found[3], _mac(secret, quote_id, expires)):
        raise BadToken("The link is not valid for this quote: use it as it was sent.")
    if now >= expires:
        raise BadToken("The link has expired: ask the shop for another.")


def _mac(secret: bytes, quote_id: str, expires: int) -> str:
    mac = hmac.digest(secret, f"quote {quote_id} until {expires}".encode(), hashlib.sha256)
    return base64.urlsafe_b64encode(mac).decode().rstrip("=")
