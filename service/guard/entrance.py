"""Before a request is worked on: who asks (401), whether that is enough (403). What no address answers to is left for 404 and 405."""

from __future__ import annotations

from typing import cast

from flask import Flask, current_app, g, request

from service.guard import links
from service.guard.access import ACCESS, Need
from service.guard.keyring import Keyring
from service.guard.keys import Key, Kind
from service.problems import Problem, fault
from service.settings import Settings, variable

HOW = "Send `Authorization: Bearer KEY`; a key is printed by the start on this machine, or made by `python -m service keys make`."
_CHALLENGE = 'Bearer realm="quotes"'


class WrongKey(Problem):
    """A key or a link that opens nothing here was shown."""


def keyring() -> Keyring:
    """The keys as this process knows them."""
    return cast("Keyring", current_app.extensions["keyring"])


def caller() -> Key | None:
    """The key of the request at hand; None on an address that is open to all."""
    return cast("Key | None", g.get("caller"))


def need() -> Need | None:
    """What the address at hand asks for; None where there is no address, or no request of its own (OPTIONS)."""
    return cast("Need | None", g.get("need"))


def install(app: Flask) -> None:
    """Let nobody past without a key that is enough."""

    @app.before_request
    def enter() -> None:
        if request.url_rule is None or request.method == "OPTIONS":
            return
        g.need = asked = ACCESS[request.url_rule.endpoint]
        if asked.public:
            return
        if asked.form:
            g.caller = _by_form()
            return
        g.caller = _by_key(asked) if "Authorization" in request.headers or "token" not in request.args else _by_link(asked)


def _by_key(asked: Need) -> Key:
    scheme, _, text = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not text.strip():
        raise Problem(401, f"This address wants a key. {HOW}", headers={"WWW-Authenticate": _CHALLENGE})
    key = keyring().find(text.strip())
    if key is None:
        words = f"The key is not one of this shop's, or it is revoked. {HOW}"
        raise WrongKey(401, words, headers={"WWW-Authenticate": f'{_CHALLENGE}, error="invalid_token"'})
    if key.kind is Kind.PUBLISHABLE:
        _judge_publishable(key, asked)
    elif asked.scope is not None and asked.scope not in key.scopes:
        words = f"The key lacks the scope {asked.scope}: make one that has it."
        raise _too_little(words, "missing_scope", f'{_CHALLENGE}, error="insufficient_scope", scope="{asked.scope}"')
    return key


def _by_form() -> Key:
    """The key that the shop's own form works under. It needs no origin: its pages set no cookie, so that no other page can post in anybody's name."""
    settings: Settings = current_app.extensions["settings"]
    key = keyring().find(settings.form_key) if settings.form_key else None
    if key is None or key.kind is not Kind.PUBLISHABLE:
        raise Problem(404, f"The shop serves no form here: it sets {variable('form_key')} to one of its publishable keys to do so.")
    return key


def _judge_publishable(key: Key, asked: Need) -> None:
    if not asked.publishable:
        words = "A publishable key does not open this address: call it from your server, with a secret key."
        raise _too_little(words, "secret_key_needed")
    origin = _origin()
    if origin not in key.origins:
        words = f"The key does not work from {'an unnamed origin' if origin is None else origin[:120]}: it is bound to the origins it was made for."
        raise _too_little(words, "wrong_origin")


def _origin() -> str | None:
    """The origin of the page that asks. A page of the service's own names none with GET (Fetch, 3.2), but browsers tell that it is one."""
    own = request.host_url.rstrip("/") if request.headers.get("Sec-Fetch-Site") == "same-origin" else None
    return request.headers.get("Origin", own)


def _by_link(asked: Need) -> Key:
    token, quote_id = request.args["token"], str((request.view_args or {}).get("quote_id", ""))
    secret_id = links.secret_named(token)
    settings: Settings = current_app.extensions["settings"]
    try:
        secret = keyring().secret(secret_id) if secret_id else None
        links.verify(token, secret, quote_id, settings.now().timestamp())
    except links.BadToken as bad:
        raise WrongKey(401, str(bad), headers={"WWW-Authenticate": f'{_CHALLENGE}, error="invalid_token"'}) from None
    if not asked.link:
        raise _too_little("A link shows its quote, and accepts or declines it: nothing else.", "key_needed")
    return Key("link", Kind.LINK, "link", f"link:{quote_id}", "", frozenset(), frozenset(), "")


def _too_little(words: str, code: str, challenge: str = f'{_CHALLENGE}, error="insufficient_scope"') -> Problem:
    return Problem(403, words, [fault("#", code, words)], {"WWW-Authenticate": challenge})
