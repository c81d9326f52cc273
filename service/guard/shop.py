"""The key of the demonstration shop: publishable, made by a start on loopback, good for the pages of that address until the server stops."""

from __future__ import annotations

from dataclasses import replace

from service.guard.keys import Key, Kind, digest_of, id_of, new_key
from service.settings import Settings

OWNER = "demo-shop"


def with_shop(settings: Settings) -> Settings:
    """The settings with a new key for the demonstration shop's page, and for the plain form where no other is set for it."""
    key = new_key(Kind.PUBLISHABLE)[1]
    return replace(settings, shop_key=key, form_key=settings.form_key or key)


def key_of_the_shop(settings: Settings) -> Key | None:
    """The key, where there is one: never beyond this machine."""
    text = settings.shop_key
    if text is None or not settings.loopback:
        return None
    key_id = id_of(text) or OWNER
    return Key(key_id, Kind.PUBLISHABLE, OWNER, OWNER, digest_of(text), frozenset(), origins_of(settings), "")


def origins_of(settings: Settings) -> frozenset[str]:
    """The origins that the page can be opened at."""
    return frozenset({settings.address, f"http://127.0.0.1:{settings.port}", f"http://localhost:{settings.port}"})
