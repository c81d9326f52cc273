"""Every kind of caller: stored keys of each kind, and the headers and query that each sends."""

from __future__ import annotations

from typing import Any, NamedTuple

from service.auth.link_tokens import signed
from service.credentials.keys import Key, Kind, Scope, digest_of, new_key
from service.storage import Keys, Quotes

PAGE, OTHER_PAGE = "https://shop.example", "https://other.example"
MADE = "2026-11-25T00:00:00.000Z"


class Holder(NamedTuple):
    """What is sent with a request."""

    headers: dict[str, str]
    query: dict[str, str] = {}  # noqa: RUF012  # never changed


def kept_key(store: Quotes, kind: Kind = Kind.SECRET, *, scopes: Any = (), origins: Any = (), **more: Any) -> str:
    """Keep a new key; returns it."""
    key_id, text = new_key(kind)
    made = Key(key_id, kind, "counter", key_id, digest_of(text), frozenset(scopes), frozenset(origins), MADE)
    Keys(store).add(made, **more)
    return text


def bearing(key: str, **headers: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}", **headers}


def revoked_key(store: Quotes) -> str:
    text = kept_key(store, scopes=Scope)
    Keys(store).revoke(text.split("_")[2])
    return text


def link_to(store: Quotes, quote_id: str, expires: int = 4_000_000_000, *, reads: bool = False) -> str:
    keys = Keys(store)
    if not keys.secrets():
        keys.make_secret()
    secret = keys.secrets()[-1]
    return signed(secret.id, secret.secret, quote_id, expires, reads=reads)


def every_holder(store: Quotes, quote_id: str) -> dict[str, Holder]:
    """By name, in the order of the columns of the table of access."""
    page = kept_key(store, Kind.PUBLISHABLE, origins=[PAGE])
    return {
        "none": Holder({}),
        "revoked": Holder(bearing(revoked_key(store))),
        "page": Holder(bearing(page, Origin=PAGE)),
        "other page": Holder(bearing(page, Origin=OTHER_PAGE)),
        **{scope.value: Holder(bearing(kept_key(store, scopes=[scope]))) for scope in Scope},
        "link": Holder({}, {"token": link_to(store, quote_id)}),
        "reading link": Holder({}, {"token": link_to(store, quote_id, reads=True)}),
    }
