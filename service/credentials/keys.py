"""API keys: their format, how they are stored, and what they permit.

A key is `wq_KIND_ID_SECRET`: its kind as a word, a public identifier, and 256 random bits. Only the SHA-256 of the whole key is
stored: a slow hash protects passwords that people make up, and adds nothing to 256 random bits.
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
    """Who holds the key: a server, a browser, someone trying out the service, a customer with a link to one quote, whoever has a reading link
    (it is printed on documents), or a member of the shop's staff at the desk.
    """

    SECRET = "secret"  # noqa: S105  # the name of a kind
    PUBLISHABLE = "publishable"
    DEMO = "demo"
    LINK = "link"
    READING = "reading"
    PERSON = "person"


class Scope(StrEnum):
    """A permission that a secret key can be given."""

    WRITE = "quotes:write"
    READ = "quotes:read"
    SETTLE = "settle"
    PLANS = "plans"
    OPERATE = "operate"


LINKS = frozenset({Kind.LINK, Kind.READING})
EVERY_SCOPE = frozenset(Scope)


@dataclass(frozen=True, slots=True)
class Key:
    """A key as stored. `owner` stays the same when the key is rotated. Moments are RFC 3339 in UTC, `last_used` is a day; `revoked_at` may be
    in the future.

    `ended`: the key generation from which on this key is refused.
    """

    id: str
    kind: Kind
    name: str
    owner: str
    digest: str
    scopes: frozenset[Scope]
    origins: frozenset[str]
    created_at: str
    revoked_at: str | None = None
    last_used: str | None = None
    ended: int | None = None

    def live(self, moment: str) -> bool:
        """Whether the key is not yet revoked at a moment (RFC 3339, UTC). A key that has ended stays so, whatever the clock is set to."""
        return self.ended is None and (self.revoked_at is None or self.revoked_at > moment)


def new_key(kind: Kind) -> tuple[str, str]:
    """The identifier of a new key, and the key itself, which is shown once and never stored."""
    key_id = secrets.token_hex(6)
    return key_id, f"{PREFIX}_{kind.value}_{key_id}_{secrets.token_urlsafe(32)}"


def id_of(text: str) -> str | None:
    """The identifier in a key, or None if the text is not a key."""
    found = _SHAPE.fullmatch(text)
    return found[2] if found else None


def digest_of(text: str) -> str:
    """SHA-256 of a key, hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


def matches(text: str, digest: str) -> bool:
    """Whether a key has this digest, compared in constant time."""
    return hmac.compare_digest(digest_of(text), digest)
