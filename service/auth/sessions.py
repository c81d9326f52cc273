"""Sessions of the shop's staff at the desk, identified by a cookie that is only sent to the desk's own paths.

A browser sends the cookie with any request to these paths, so a request that changes something must prove that it comes from the desk's own
page: by what the browser says about its origin (Fetch Metadata, or `Origin`), and by a token in the form that no other page can know.
"""

from __future__ import annotations

from typing import cast
from urllib.parse import urlsplit

from flask import Response, request

from service.auth.access import Requirement
from service.credentials.keys import Key
from service.credentials.people import LASTS, Session, is_form_token
from service.http.caller import WrongKey
from service.http.current import settings, staff
from service.http.problems import Problem, fault, header_fault
from service.http.unproxied import request_state
from service.settings import this_machine

COOKIE = "desk"
PATH = "/desk"
TOKEN = "form"  # noqa: S105  # the name of a field
ON_BEHALF = "service.on_behalf"  # WSGI environment key of calls that the desk makes within the process; no header can set it
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


def the_session() -> Session:
    """The session of the current request, at an address that requires one."""
    return cast("Session", request_state()["session"])


def secret() -> str:
    """The session secret in the current request's cookie; empty if there is none."""
    return request.cookies.get(COOKIE, "")


def signed_in(requirement: Requirement) -> Key:
    """The signed-in person as a key with the scopes of their role. Raises Problem: 401 without a session, 403 for another role or a form from
    another site, 409 for a form from an earlier session.
    """
    if request.method not in _SAFE:
        refuse_other_sites()
    session = staff().session(secret()) if secret() else None
    if session is None:
        words = "You are not signed in, or the session has ended: sign in by a new link, which `python -m service people link` prints."
        kind = WrongKey if secret() or request.method not in _SAFE else Problem  # possible attacks are counted by network
        raise kind(401, words, [header_fault("Cookie", "not_signed_in", words)])
    request_state()["session"] = session
    if session.person.role not in requirement.roles:
        words = f"This page is for the roles {' and '.join(sorted(requirement.roles))}; your role is {session.person.role}."
        raise Problem(403, words, [header_fault("Cookie", "other_role", words)])
    if request.method not in _SAFE:
        refuse_large(settings().max_body_bytes)
    if request.method not in _SAFE and not is_form_token(request.form.get(TOKEN, ""), secret()):
        words = "The form was opened in an earlier session, or was altered on the way: check it, and send it again."
        raise Problem(409, words, [fault("#/form", "form_of_before", words)])
    return session.person.as_key()


def refuse_other_sites() -> None:
    """Raises Problem (403) unless the browser says that the form was sent from the desk's own page."""
    site, origin = request.headers.get("Sec-Fetch-Site"), request.headers.get("Origin")
    if (site is None or site == "same-origin") and (_own(origin) if origin is not None else site is not None):
        return
    words = "The form was sent by a program, or from a page that does not belong to the desk: nothing was done. Open the desk itself; a program calls /v1 with an API key."
    raise Problem(403, words, [header_fault("Origin", "other_site", words)])


def refuse_large(most: int) -> None:
    """Raises Problem: 411 for a form without Content-Length, 413 for a form of more than `most` bytes. Reads nothing."""
    length = request.content_length
    if length is None or length > most:
        words = (
            f"The form has {length} bytes; at most {most} are accepted: send less at once." if length else "The form has no Content-Length."
        )
        raise Problem(413 if length else 411, words, [header_fault("Content-Length", "too_large" if length else "length_required", words)])


def _own(origin: str) -> bool:
    """Whether an origin is the host that this request was sent to. The scheme is not compared, since a proxy may have terminated TLS."""
    try:
        sender = urlsplit(origin).netloc
    except ValueError:  # not a URL, such as `http://[`
        return False
    return sender in {request.host, urlsplit(settings().base_url or "").netloc} - {""}


def set_cookie(response: Response, session_secret: str) -> None:
    """Set the session cookie in the browser."""
    # over plain HTTP, which is only for this machine, browsers reject Secure cookies; a proxy may terminate TLS and send this machine's name as Host
    secure = request.is_secure or not this_machine(request.host) or request.headers.get("Origin", "").startswith("https:")
    response.set_cookie(COOKIE, session_secret, max_age=int(LASTS.total_seconds()), path=PATH, secure=secure, httponly=True, samesite="Lax")


def clear_cookie(response: Response) -> None:
    """Delete the session cookie in the browser."""
    response.delete_cookie(COOKIE, path=PATH, httponly=True, samesite="Lax")
