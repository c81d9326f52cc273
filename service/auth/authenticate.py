"""Authentication (401) and authorisation (403) before a request is processed. Requests that match no route pass through, to be answered
with 404 or 405.
"""

from __future__ import annotations

from typing import cast

from flask import Flask, current_app, request

from service.auth import link_tokens, sessions
from service.auth.access import ACCESS, Requirement
from service.auth.keyring import Keyring
from service.credentials.keys import Key, Kind
from service.http.caller import WrongKey
from service.http.current import engine, store
from service.http.problems import Problem, header_fault, parameter_fault
from service.http.unproxied import current_application, current_request, request_state
from service.lifecycle.links import ended
from service.settings import Settings, variable

HOW = "Send `Authorization: Bearer KEY`; a key is printed when the service starts on this machine, or is made by `python -m service keys make`."
_CHALLENGE = 'Bearer realm="quotes"'
_INVALID = {"WWW-Authenticate": f'{_CHALLENGE}, error="invalid_token"'}


def keyring() -> Keyring:
    """This process's keyring."""
    return cast("Keyring", current_application().extensions["keyring"])


def install(app: Flask) -> None:
    """Require sufficient credentials on every request."""

    @app.before_request
    def enter() -> None:
        sent, facts = current_request(), request_state()
        if sent.url_rule is None or sent.method == "OPTIONS":
            return
        facts["requirement"] = requirement = ACCESS[sent.url_rule.endpoint]
        if requirement.public:
            return
        if requirement.form:
            facts["caller"] = _by_form()
            return
        if requirement.roles:
            facts["caller"] = sessions.signed_in(requirement)
            return
        person = sent.environ.get(sessions.ON_BEHALF)
        if person is not None:
            facts["caller"] = _allowed(person, requirement)
            return
        facts["caller"] = (
            _by_key(requirement) if "HTTP_AUTHORIZATION" in sent.environ or "token" not in sent.args else _by_link(requirement)
        )


def _by_key(requirement: Requirement) -> Key:
    scheme, _, text = current_request().environ.get("HTTP_AUTHORIZATION", "").partition(" ")
    if scheme.lower() != "bearer" or not text.strip():
        words = f"This endpoint requires an API key. {HOW}"
        raise Problem(401, words, [header_fault("Authorization", "no_key", words)], {"WWW-Authenticate": _CHALLENGE})
    key = keyring().find(text.strip())
    if key is None:
        words = f"The API key is unknown or has been revoked. {HOW}"
        raise WrongKey(401, words, [header_fault("Authorization", "unknown_key", words)], _INVALID)
    return _allowed(key, requirement)


def _allowed(key: Key, requirement: Requirement) -> Key:
    if key.kind is Kind.PUBLISHABLE:
        _judge_publishable(key, requirement)
    elif requirement.scope is not None and requirement.scope not in key.scopes:
        words = f"The key lacks the scope {requirement.scope}: make one that has it with `python -m service keys make --scopes`."
        raise _forbidden(words, "missing_scope", f'{_CHALLENGE}, error="insufficient_scope", scope="{requirement.scope}"')
    return key


def _by_form() -> Key:
    """The key under which the shop's own form works. It needs no origin check: the pages set no cookie, so no other page can post in
    anyone's name.
    """
    settings: Settings = current_app.extensions["settings"]
    key = keyring().find(settings.form_key) if settings.form_key else None
    if key is None or key.kind is not Kind.PUBLISHABLE:
        raise Problem(404, f"No form is served here. To serve one, set {variable('form_key')} to one of the shop's publishable keys.")
    return key


def _judge_publishable(key: Key, requirement: Requirement) -> None:
    if not requirement.publishable:
        words = "This endpoint does not accept a publishable key: call it from your server with a secret key."
        raise _forbidden(words, "secret_key_needed")
    origin = _origin()
    if origin not in key.origins:
        where = "without the header Origin, which browsers send by themselves" if origin is None else f"from {origin[:120]}"
        words = f"A publishable key works in a browser, on pages of the origins it was made for, and not {where}. From a server send a secret key; for another page make a key with `python -m service keys make --publishable --origin`."
        raise _forbidden(words, "wrong_origin", header="Origin")


def _origin() -> str | None:
    """The origin of the calling page. A page of the service itself sends none with GET (Fetch, 3.2), but browsers mark it as
    same-origin.
    """
    own = request.host_url.rstrip("/") if request.headers.get("Sec-Fetch-Site") == "same-origin" else None
    return request.headers.get("Origin", own)


def _by_link(requirement: Requirement) -> Key:
    token, quote_id = request.args["token"], str((request.view_args or {}).get("quote_id", ""))
    secret_id = link_tokens.secret_named(token)
    settings: Settings = current_app.extensions["settings"]
    try:
        secret = keyring().secret(secret_id) if secret_id else None
        verified = link_tokens.verify(token, secret, quote_id, settings.now().timestamp())
        _judge_ended(quote_id, verified.generation, settings)
    except link_tokens.BadToken as bad:
        raise WrongKey(401, str(bad), [parameter_fault("token", "unknown_link", str(bad))], _INVALID) from None
    if not requirement.link:
        raise _forbidden(
            "A link can only show, accept, decline or ask about its own quote: for anything else, send an API key.", "key_needed"
        )
    kind = Kind.READING if verified.reads else Kind.LINK
    return Key(kind.value, kind, kind.value, f"{kind.value}:{quote_id}", "", frozenset(), frozenset(), "")


def _judge_ended(quote_id: str, generation: int, settings: Settings) -> None:
    """Raises BadToken if the shop has ended the links to this quote, or if they have expired."""
    linked = store().linked(quote_id)
    if linked is None:
        return  # the view answers 404
    if generation < linked.generation:
        raise link_tokens.BadToken("The shop has ended this link: ask the shop for another.")
    if ended(linked, engine().today(), settings.now()):
        raise link_tokens.BadToken("The link expired after the last day of its quote: ask the shop for a new quote.")


def _forbidden(
    words: str, code: str, challenge: str = f'{_CHALLENGE}, error="insufficient_scope"', header: str = "Authorization"
) -> Problem:
    return Problem(403, words, [header_fault(header, code, words)], {"WWW-Authenticate": challenge})
