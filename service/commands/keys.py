"""`keys make|list|rotate|revoke` and `links withdraw`: who may use the service, decided on the machine that runs it."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from service.commands.arguments import Misused, Parser
from service.commands.out import refuse, say
from service.commands.schema import brought_up
from service.guard.keys import EVERY_SCOPE, Key, Kind, Scope, digest_of, new_key
from service.settings import Settings
from service.storage import Keys, Quotes, moment

_ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:[0-9]{1,5})?|https?://\[[0-9a-f:]+\](:[0-9]{1,5})?", re.ASCII)
ONCE = "It is shown this once and not kept: put it where its user finds it."


def keys(settings: Settings, arguments: Sequence[str]) -> int:
    """Make, list, rotate or revoke keys. Raises SQLAlchemyError, WrongSchema."""
    try:
        asked = _parser().parse_args(arguments)
        with _opened(settings) as kept:
            return int(asked.act(kept, asked))
    except Misused as error:
        return refuse(str(error))


def withdraw_links(settings: Settings) -> int:
    """Withdraw what links are signed with: every link ends within a second. Raises SQLAlchemyError, WrongSchema."""
    with _opened(settings) as kept:
        kept.make_secret(withdraw=True)
    return say("Every link that was made until now is withdrawn.")


@contextmanager
def _opened(settings: Settings) -> Iterator[Keys]:
    with closing(Quotes(settings.database_url, 1)) as store:
        brought_up(store)
        yield Keys(store)


def _parser() -> argparse.ArgumentParser:
    parser = Parser(prog="python -m service keys")
    acts = parser.add_subparsers(required=True, metavar="make | list | rotate | revoke")
    make = acts.add_parser("make", help="a new key")
    make.add_argument("--name", required=True, help="whose key it is, for the list")
    make.add_argument("--scopes", help=f"what a secret key may do, of {', '.join(Scope)}, with commas between them")
    make.add_argument("--publishable", action="store_true", help="for a browser; needs --origin")
    make.add_argument(
        "--origin", action="append", default=[], help="where the browser's page comes from, such as https://shop.example; again for more"
    )
    make.set_defaults(act=_make)
    acts.add_parser("list", help="every key, without the keys themselves").set_defaults(act=_list)
    rotate = acts.add_parser("rotate", help="a new key in place of another, with the same name, scopes and origins")
    rotate.add_argument("id")
    rotate.add_argument("--keep-hours", type=int, default=0, choices=range(169), metavar="0-168", help="how long the old key goes on")
    rotate.set_defaults(act=_rotate)
    revoke = acts.add_parser("revoke", help="refuse a key from this moment on")
    revoke.add_argument("id")
    revoke.set_defaults(act=_revoke)
    return parser


def _make(kept: Keys, asked: argparse.Namespace) -> int:
    if not 1 <= len(asked.name) <= 80 or not asked.name.isprintable():
        raise Misused("--name takes 1 to 80 characters on one line")
    kind = Kind.PUBLISHABLE if asked.publishable else Kind.SECRET
    scopes, origins = _scopes(asked), _origins(asked)
    key_id, text = new_key(kind)
    kept.add(Key(key_id, kind, asked.name, key_id, digest_of(text), scopes, origins, moment()))
    return say(f"{text}\n{ONCE}")


def _scopes(asked: argparse.Namespace) -> frozenset[Scope]:
    if asked.publishable:
        if asked.scopes:
            raise Misused("a publishable key has no scopes: it previews, makes quotes and reads the catalogue, and nothing else")
        return frozenset()
    named = [each.strip() for each in (asked.scopes or "").split(",") if each.strip()]
    if not named or set(named) - EVERY_SCOPE:
        raise Misused(f"--scopes takes the least that the key needs, of {', '.join(Scope)}, with commas between them")
    return frozenset(map(Scope, named))


def _origins(asked: argparse.Namespace) -> frozenset[str]:
    if asked.publishable != bool(asked.origin):
        raise Misused("a publishable key needs --origin, and a secret key takes none: it does not belong in a browser")
    wrong = [each for each in asked.origin if not _ORIGIN.fullmatch(each)]
    if wrong:
        raise Misused(
            f"{', '.join(wrong)}: an origin is a scheme, a host in small letters and where needed a port, such as https://shop.example"
        )
    return frozenset(asked.origin)


def _list(kept: Keys, _: argparse.Namespace) -> int:
    now = moment()
    for key in kept.every():
        state = "live" if key.revoked is None else f"until {key.revoked}" if key.live(now) else f"revoked {key.revoked[:10]}"
        allowed = " ".join(sorted(key.scopes or key.origins))
        say(f"{key.id}  {key.kind:<11}  {key.created[:10]}  used {key.last_used or 'never':<10}  {state:<18}  {key.name}: {allowed}")
    return 0


def _rotate(kept: Keys, asked: argparse.Namespace) -> int:
    old = _named(kept, asked.id)
    key_id, text = new_key(old.kind)
    until = datetime.now(UTC) + timedelta(hours=asked.keep_hours)
    made = replace(old, id=key_id, digest=digest_of(text), created=moment(), last_used=None)
    kept.add(made, old, until.isoformat(timespec="milliseconds").replace("+00:00", "Z"))
    return say(f"{text}\n{ONCE}")


def _revoke(kept: Keys, asked: argparse.Namespace) -> int:
    key = _named(kept, asked.id)
    kept.revoke(key.id)
    return say(f"{key.id} ({key.name}) is revoked; every server refuses it within a second.")


def _named(kept: Keys, key_id: str) -> Key:
    now = moment()
    found = [key for key in kept.every() if key.id == key_id and key.live(now)]
    if not found:
        raise Misused(f"there is no live key {key_id}: `keys list` lists them")
    return found[0]
