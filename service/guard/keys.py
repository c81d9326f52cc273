"""Keys: what they look like, what is kept of them, and what they allow.

A key is `wq_KIND_ID_SECRET`: its kind in words, a public identifier, and 256 random bits. Only SHA-256 of the whole is kept: a slow hash
protects words that people think up, and adds nothing to 256 random bits.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from dataclasses import dataclass
from enum import StrEnum

PREFIX = "wq"
_SHAPE = re.compile(r"wq_(secret|publishable)_([0-9a-f]{12})_[A-Za-z0-9_-]{43}", re.ASCII)


class Kind(StrEnum):
    """Who holds it: a server, a browser, the one who tries the service out, or a customer with a link to one quote."""

    SECRET = "secret"  # noqa: S105  # the name of a kind
    PUBLISHABLE = "publishable"
    DEMO = "demo"
    LINK = "link"


class Scope(StrEnum):
    """What a secret key can be allowed."""

    WRITE = "quotes:write"
    READ = "quotes:read"
    PLANS = "plans"
    OPERATE = "operate"


EVERY_SCOPE = frozenset(Scope)


@dataclass(frozen=True, slots=True)
class Key:
    """What is kept of a key. `owner` outlives its rotations. Moments RFC 3339 in UTC, `last_used` a day; `revoked` may be to come."""

    id: str
    kind: Kind
    name: str
    owner: str
    digest: str
    scopes: frozenset[Scope]
    origins: frozenset[str]
    created: str
    revoked: str | None = None
    last_used: str | None = None

    def live(self, moment: str) -> bool:
        """Whether it is not revoked at a moment (RFC 3339, UTC)."""
        return self.revoked is None or self.revoked > moment


def new_key(kind: Kind) -> tuple[str, str]:
    """A new key's identifier, and the key itself, which is seen once and never kept."""
    key_id = secrets.token_hex(6)
    return key_id, f"{PREFIX}_{kind.value}_{key_id}_{secrets.token_urlsafe(32)}"


def id_of(text: str) -> str | None:
    """The identifier in a key, None where the text is no key."""
    found = _SHAPE.fullmatch(text)
    return found[2] if found else None


def digest_of(text: str) -> str:
    """SHA-256 of a key, hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def matches(text: str, digest: str) -> bool:
    """Whether a key has that digest, in a time that tells nothing."""
    return hmac.compare_digest(digest_of(text), digest)
