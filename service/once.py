"""`Idempotency-Key` (draft-ietf-httpapi-idempotency-key-header-07): a POST that was sent again is carried out once and answered alike.

A refusal stores nothing, so it is not kept: the key is free again. An answer is kept for a day, for the API key that asked.
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

from service.bodies import read_body
from service.guard.entrance import caller
from service.parts import answers, store
from service.problems import Problem
from service.storage.answers import Answer, Asked, OtherRequest, Overtaken, StillRunning

HEADER = "Idempotency-Key"
MOST = 255
_BARE = re.compile(r"[!#-+\--:<-\[\]-~]+", re.ASCII)  # visible, without the quote, comma, semicolon and backslash of structured fields
_QUOTED = re.compile(r'"((?:[ !#-\[\]-~]|\\["\\])*)"', re.ASCII)  # a string of RFC 9651, 3.3.3
View = Callable[..., Response]


def once(view: View, body: Callable[[], Iterable[bytes]] = lambda: (read_body(),)) -> View:
    """Carry a view out once for each key that it is asked with; without a key, each time. `body`: what was sent, in blocks."""

    @wraps(view)
    def guarded(**arguments: Any) -> Response:
        written = request.headers.get(HEADER)
        return view(**arguments) if written is None else _once(lambda: view(**arguments), key_in(written), body)

    guarded.once = True  # type: ignore[attr-defined]  # the contract's test looks for it
    return guarded


def once_as(key: str, carry_out: Callable[[], Response], body: Callable[[], Iterable[bytes]]) -> Response:
    """The same for a key that does not come in the header, but in a page that is posted."""
    return _once(carry_out, key, body)


def key_in(written: str) -> str:
    """The key in the header, quoted or bare. Raises Problem (400)."""
    text = written.strip()
    quoted = _QUOTED.fullmatch(text)
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else text if _BARE.fullmatch(text) else ""
    if not 1 <= len(key) <= MOST:
        words = f'write one key of 1 to {MOST} visible ASCII characters, as "8e03978e-40d5-43dd-bc93-6894a57f9324"'
        raise Problem(400, f"{HEADER} cannot be read.", [{"header": HEADER, "code": "bad_key", "detail": words}])
    return key


def _once(carry_out: Callable[[], Response], key: str, body: Callable[[], Iterable[bytes]]) -> Response:
    who = caller()
    asked = Asked(who.owner if who else "", key, _fingerprint(body()))
    try:
        claim = answers().claim(asked)
    except StillRunning:
        raise _running() from None
    except OtherRequest:
        words = "the key was used for another request: send that one again as it was, or this one with a key of its own"
        raise Problem(422, f"{HEADER}: {words}.", [{"header": HEADER, "code": "key_of_another_request", "detail": words}]) from None
    if isinstance(claim, Answer):
        g.replayed = True
        return Response(claim.body, claim.status, claim.headers)
    return _first(carry_out, asked, claim)


def _first(carry_out: Callable[[], Response], asked: Asked, claim: str) -> Response:
    try:
        with store().together():
            response = carry_out()
            headers = [(name, value) for name, value in response.headers if name != "Content-Length"]
            answers().keep(asked, claim, Answer(response.status_code, headers, response.get_data()))
    except Overtaken:
        raise _running() from None
    except BaseException:
        _release(asked, claim)
        raise
    return response


def _release(asked: Asked, claim: str) -> None:
    try:
        answers().release(asked, claim)
    except SQLAlchemyError:
        logging.getLogger("service").warning("the claim of an %s could not be given back; it lapses by itself", HEADER)


def _running() -> Problem:
    words = "the first request with this key is still being carried out: send it again in a moment"
    return Problem(409, f"{HEADER}: {words}.", [{"header": HEADER, "code": "still_running", "detail": words}], {"Retry-After": "1"})


def _fingerprint(body: Iterable[bytes]) -> str:
    """SHA-256 of what makes the request this one: method, address with its query (a link's token aside), body."""
    query = sorted((name, value) for name, value in request.args.items(multi=True) if name != "token")
    found = hashlib.sha256(f"{request.method} {request.path} {query}\n".encode())
    for block in body:
        found.update(block)
    return found.hexdigest()
