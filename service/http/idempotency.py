"""`Idempotency-Key` (draft-ietf-httpapi-idempotency-key-header-07): a repeated POST is carried out once and gets the same response.

A refusal stores nothing, so it is not kept and the key is free again. A response is kept for a day, per API key.
"""

from __future__ import annotations

import hashlib
import logging
import re
from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any

from flask import Response, g, request
from sqlalchemy.exc import SQLAlchemyError

from service.http.bodies import read_body
from service.http.caller import caller
from service.http.current import idempotency_store, store
from service.http.problems import Problem
from service.storage.idempotency import IdempotentRequest, OtherRequest, Overtaken, StillRunning, StoredResponse

HEADER = "Idempotency-Key"
MOST = 255
_BARE = re.compile(r"[!#-+\--:<-\[\]-~]+", re.ASCII)  # visible, but no quote, comma, semicolon or backslash, as in structured fields
_QUOTED = re.compile(r'"((?:[ !#-\[\]-~]|\\["\\])*)"', re.ASCII)  # a string of RFC 9651, 3.3.3
View = Callable[..., Response]


def idempotent(view: View, body: Callable[[], Iterable[bytes]] = lambda: (read_body(),)) -> View:
    """Run a view once per idempotency key; without a key, every time. `body` returns the request body in blocks."""

    @wraps(view)
    def guarded(**arguments: Any) -> Response:
        written = request.headers.get(HEADER)
        return view(**arguments) if written is None else run_once(key_in(written), lambda: view(**arguments), body)

    guarded.idempotent = True  # type: ignore[attr-defined]  # the contract's test looks for it
    return guarded


def key_in(written: str) -> str:
    """The key in the header's value, quoted or bare. Raises Problem (400) for any other text."""
    text = written.strip()
    quoted = _QUOTED.fullmatch(text)
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else text if _BARE.fullmatch(text) else ""
    if not 1 <= len(key) <= MOST:
        words = f'send one key of 1 to {MOST} visible ASCII characters, such as "8e03978e-40d5-43dd-bc93-6894a57f9324"'
        raise Problem(400, f"{HEADER} cannot be read.", [{"header": HEADER, "code": "bad_key", "detail": words}])
    return key


def run_once(key: str, carry_out: Callable[[], Response], body: Callable[[], Iterable[bytes]]) -> Response:
    """The response of `carry_out`, or the one that the first request with this key got. The key may come from a posted form
    instead of the header.
    """
    who = caller()
    requested = IdempotentRequest(who.owner if who else "", key, _fingerprint(body()))
    try:
        claim = idempotency_store().claim(requested)
    except StillRunning as running:
        raise _running(running.seconds) from None
    except OtherRequest:
        words = "the key was used for a different request: repeat that request unchanged, or send this one with a new key"
        raise Problem(422, f"{HEADER}: {words}.", [{"header": HEADER, "code": "key_of_another_request", "detail": words}]) from None
    if isinstance(claim, StoredResponse):
        g.replayed = True
        return Response(claim.body, claim.status, claim.headers)
    return _first(carry_out, requested, claim)


def _first(carry_out: Callable[[], Response], requested: IdempotentRequest, claim: str) -> Response:
    try:
        with idempotency_store().holding(requested, claim), store().together():
            response = carry_out()
            headers = [(name, value) for name, value in response.headers if name != "Content-Length"]
            idempotency_store().keep(requested, claim, StoredResponse(response.status_code, headers, response.get_data()))
    except Overtaken:
        raise _running() from None
    except BaseException:
        _release(requested, claim)
        raise
    return response


def _release(requested: IdempotentRequest, claim: str) -> None:
    try:
        idempotency_store().release(requested, claim)
    except SQLAlchemyError:
        logging.getLogger("service").warning("the claim of an %s could not be released; it expires by itself", HEADER)


def _running(seconds: int = 1) -> Problem:
    words = "the first request with this key is still being processed: try again in a moment"
    return Problem(
        409, f"{HEADER}: {words}.", [{"header": HEADER, "code": "still_running", "detail": words}], {"Retry-After": str(seconds)}
    )


def _fingerprint(body: Iterable[bytes]) -> str:
    """SHA-256 of what identifies the request: method, path, query (without a link's token) and body."""
    query = sorted((name, value) for name, value in request.args.items(multi=True) if name != "token")
    found = hashlib.sha256(f"{request.method} {request.path} {query}\n".encode())
    for block in body:
        found.update(block)
    return found.hexdigest()
