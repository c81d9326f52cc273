"""The demonstration shop's key: publishable, created at start-up on loopback, valid for pages of that address until the server stops."""

from __future__ import annotations

from dataclasses import replace

from service.credentials.keys import Key, Kind, digest_of, id_of, new_key
from service.settings import Settings

OWNER = "demo-shop"


def with_shop(settings: Settings) -> Settings:
    """The settings with a new key for the demonstration shop's page, and for the plain form unless it has another key."""
    key = new_key(Kind.PUBLISHABLE)[1]
    return replace(settings, shop_key=key, form_key=settings.form_key or key)


def key_of_the_shop(settings: Settings) -> Key | None:
    """The key, if there is one; never used beyond this machine."""
    text = settings.shop_key
    if text is None or not settings.loopback:
        return None
    key_id = id_of(text) or OWNER
    return Key(key_id, Kind.PUBLISHABLE, OWNER, OWNER, digest_of(text), frozenset(), origins_of(settings), "")


def origins_of(settings: Settings) -> frozenset[str]:
    """The origins at which the page can be opened."""
    return frozenset({settings.address, f"http://127.0.0.1:{settings.port}", f"http://localhost:{settings.port}"})
