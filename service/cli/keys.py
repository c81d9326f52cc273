"""`keys make|list|rotate|revoke` and `links withdraw`: manage access to the service, on the machine that runs it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import timedelta

from service.cli.out import Refused, confirm, say
from service.cli.schema import prepare_schema
from service.credentials.keys import EVERY_SCOPE, Key, Kind, Scope, digest_of, new_key
from service.settings import Settings
from service.storage import Keys, Quotes, moment

_ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:[0-9]{1,5})?|https?://\[[0-9a-f:]+\](:[0-9]{1,5})?", re.ASCII)
ONCE = "It is shown only once and is not stored: save it now."


def make(settings: Settings, name: str, scopes: str | None, origins: Sequence[str], *, publishable: bool) -> int:
    """Make a key. Raises Refused, SQLAlchemyError, WrongSchema, as do all functions here."""
    if not 1 <= len(name) <= 80 or not name.isprintable():
        raise Refused("--name must have 1 to 80 characters on one line")
    kind = Kind.PUBLISHABLE if publishable else Kind.SECRET
    allowed, pages = _scopes(scopes, publishable=publishable), _origins(origins, publishable=publishable)
    key_id, text = new_key(kind)
    with _opened(settings) as keys:
        keys.add(Key(key_id, kind, name, key_id, digest_of(text), allowed, pages, moment()))
    return say(f"{text}\n{ONCE}")


def listed(settings: Settings) -> int:
    """Print one line per key."""
    now = moment()
    with _opened(settings) as keys:
        every = keys.every()
    for key in every:
        state = (
            f"until {key.revoked_at}"
            if key.live(now) and key.revoked_at
            else f"revoked {key.revoked_at[:10]}"
            if key.revoked_at
            else "live"
        )
        allowed = " ".join(sorted(key.scopes or key.origins))
        say(f"{key.id}  {key.kind:<11}  {key.created_at[:10]}  used {key.last_used or 'never':<10}  {state:<18}  {key.name}: {allowed}")
    return 0


def rotate(settings: Settings, key_id: str, keep_hours: int, *, sure: bool) -> int:
    """Make a key that replaces another."""
    with _opened(settings) as keys:
        old = _named(keys, key_id)
        end = f"in {keep_hours} hours" if keep_hours else "at once"
        confirm(f"Make a key in place of {old.id} ({old.name}), which ends {end}?", sure=sure)
        new_id, text = new_key(old.kind)
        made = replace(old, id=new_id, digest=digest_of(text), created_at=moment(), last_used=None, revoked_at=None)
        keys.add(made, old, timedelta(hours=keep_hours))
    return say(f"{text}\n{ONCE}")


def revoke(settings: Settings, key_id: str, *, sure: bool) -> int:
    """Revoke a key."""
    with _opened(settings) as keys:
        key = _named(keys, key_id)
        confirm(f"Revoke {key.id} ({key.name})? Every server refuses it within a second. This cannot be undone.", sure=sure)
        keys.revoke(key.id)
    return say(f"{key.id} ({key.name}) is revoked; every server refuses it within a second.")


def withdraw_links(settings: Settings, *, sure: bool) -> int:
    """Withdraw the secrets that links are signed with: every link stops working within a second."""
    confirm("Withdraw all links to quotes made so far? This cannot be undone.", sure=sure)
    with _opened(settings) as keys:
        keys.make_secret(withdraw=True)
    return say("All links made so far are withdrawn.")


@contextmanager
def _opened(settings: Settings) -> Iterator[Keys]:
    with closing(Quotes(settings.database_url, 1)) as store:
        prepare_schema(store)
        yield Keys(store)


def _scopes(text: str | None, *, publishable: bool) -> frozenset[Scope]:
    if publishable:
        if text:
            raise Refused("a publishable key has no scopes: it previews, makes quotes and reads the catalogue, and nothing else")
        return frozenset()
    named = [each.strip() for each in (text or "").split(",") if each.strip()]
    if not named or set(named) - EVERY_SCOPE:
        raise Refused(f"--scopes must be the least that the key needs, of {', '.join(Scope)}, with commas between them")
    return frozenset(map(Scope, named))


def _origins(origins: Sequence[str], *, publishable: bool) -> frozenset[str]:
    if publishable != bool(origins):
        raise Refused("a publishable key needs --origin, and a secret key takes none: it does not belong in a browser")
    wrong = [each for each in origins if not _ORIGIN.fullmatch(each)]
    if wrong:
        raise Refused(
            f"{', '.join(wrong)}: an origin is a scheme, a host in small letters and where needed a port, such as https://shop.example"
        )
    return frozenset(origins)


def _named(keys: Keys, key_id: str) -> Key:
    now = moment()
    matches = [key for key in keys.every() if key.id == key_id and key.live(now)]
    if not matches:
        raise Refused(f"there is no live key {key_id}: `keys list` lists them")
    return matches[0]
