"""The shop's staff who use the desk: their roles, what each role may do, and the secrets they sign in with.

A sign-in link and a session are 256 random bits each; only their SHA-256 is stored. A link can be used once, within fifteen minutes.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from types import MappingProxyType

from service.credentials.keys import EVERY_SCOPE, Key, Kind, Scope

LINK_LASTS = timedelta(minutes=15)
IDLE = timedelta(days=3)  # long enough for a weekend; whoever loses a phone can end its session at once
LASTS = timedelta(days=30)
MOST_NAME = 80
DESK = "desk:"  # prefix of a person's id where records contain the name of a key


class Role(StrEnum):
    """A staff member's role in the shop."""

    COUNTER = "counter"
    BENCH = "bench"
    OWNER = "owner"


SCOPES: Mapping[Role, frozenset[Scope]] = MappingProxyType(
    {
        Role.COUNTER: frozenset({Scope.READ, Scope.WRITE, Scope.SETTLE, Scope.PLANS}),
        Role.BENCH: frozenset({Scope.READ, Scope.WRITE, Scope.PLANS}),  # service/auth/access.py restricts writing to some pages
        Role.OWNER: EVERY_SCOPE,
    }
)


@dataclass(frozen=True, slots=True)
class Person:
    """A member of the shop's staff. Moments are RFC 3339 in UTC; `ended_at`: since when they may no longer sign in."""

    id: str
    name: str
    role: Role
    created_at: str
    ended_at: str | None = None

    def as_key(self) -> Key:
        """The key with which the desk calls the API for this person. Records contain the id, which leads to the name as long as that is stored."""
        handle = f"{DESK}{self.id}"
        return Key(self.id, Kind.PERSON, handle, handle, "", SCOPES[self.role], frozenset(), self.created_at)


@dataclass(frozen=True, slots=True)
class Session:
    """A session at the desk. `id` is not secret; `created_at` and `seen_at` are seconds since 1970; `language` is None unless chosen."""

    id: str
    person: Person
    created_at: float
    seen_at: float
    language: str | None = None


def new_id() -> str:
    """The identifier of a person or a session."""
    return secrets.token_hex(6)


def new_secret() -> str:
    """The secret of a sign-in link or a session: shown or sent once, never stored."""
    return secrets.token_urlsafe(32)


def digest_of(secret: str) -> str:
    """SHA-256 of a secret, hexadecimal, which is stored in its place."""
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()


def form_token(session_secret: str) -> str:
    """The token in every form of a session, so that no other page can post in its name. It cannot be computed without the cookie."""
    return hmac.new(session_secret.encode("utf-8", "replace"), b"form", hashlib.sha256).hexdigest()


def is_form_token(text: str, session_secret: str) -> bool:
    """Whether a form carries this session's token, compared in constant time."""
    return hmac.compare_digest(text.encode("utf-8", "replace"), form_token(session_secret).encode())
