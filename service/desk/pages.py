"""Renders the desk's pages: their templates, their frame and their headers. No page has an inline script or style."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple
from uuid import uuid4

from flask import Response, request
from jinja2 import Environment

from service.auth.sessions import TOKEN, secret
from service.credentials.people import Role, Session, form_token
from service.encoding.languages import LANGUAGES
from service.http.languages import preferred_language
from service.http.responses import reply
from service.http.unproxied import request_state
from service.wording.templates import templates_in

FOLDER = Path(__file__).parent / "templates"
HTML = "text/html"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)


def language() -> str:
    """The language of the page: that of the session if it was chosen, else the browser's."""
    session: Session | None = request_state().get("session")
    return (session and session.language) or preferred_language()


def render_page(template: str, status: int = 200, **variables: Any) -> Response:
    """The page that a template makes of these variables and those of the frame."""
    chosen = language()
    html = environment(chosen).get_template(template).render(**{"language": chosen, "languages": LANGUAGES, **frame(), **variables})
    return reply(html.encode(), status, page_headers(chosen), HTML)


def frame() -> dict[str, Any]:
    """The variables of every page's frame, apart from the languages."""
    session: Session | None = request_state().get("session")
    return {
        "session": session,
        "person": session.person if session else None,
        "here": request.path,
        "nav": nav_for,
        "token_name": TOKEN,
        "token": form_token(secret()) if session else "",
        "new_mark": lambda: str(uuid4()),
        "typed": {},
        "refusal": None,
        "done": request.args.get("done", ""),
    }


def page_headers(chosen: str) -> Mapping[str, str]:
    """The headers of a page. Without a referrer a browser sends the origin `null`, and the desk could not tell its own forms from a stranger's."""
    return {
        "Content-Language": chosen, "Content-Security-Policy": POLICY, "Referrer-Policy": "same-origin", "Cache-Control": "no-store",
        "Vary": "Accept-Language, Cookie",
    }  # fmt: skip


def redirect(path: str, done: str = "") -> Response:
    """Redirects to another page after a form was carried out (RFC 9110, 15.4.4). `done`: the key of the message in `done.html` to show there."""
    return reply(
        b"", 303, {"Location": f"{path}{'&' if '?' in path else '?'}done={done}" if done else path, "Cache-Control": "no-store"}, HTML
    )


class Place(NamedTuple):
    """An entry of the navigation bar: its address, its English name, and the roles that see it."""

    at: str
    name: str
    roles: frozenset[Role]


def _(text: str) -> str:
    return text


NAV = (
    Place("/desk", _("Today"), frozenset(Role)),
    Place("/desk/find", _("Find"), frozenset(Role)),
    Place("/desk/bench", _("Bench"), frozenset(Role)),
    Place("/desk/stock", _("Shelf"), frozenset(Role)),
    Place("/desk/fleets", _("Fleets"), frozenset({Role.COUNTER, Role.OWNER})),
    Place("/desk/figures", _("Figures"), frozenset({Role.OWNER})),
    Place("/desk/terms", _("Terms"), frozenset({Role.OWNER})),
    Place("/desk/tables", _("Tables"), frozenset({Role.OWNER})),
    Place("/desk/people", _("People"), frozenset({Role.OWNER})),
)


def nav_for(role: Role) -> list[Place]:
    """The entries of the navigation bar for a role."""
    return [each for each in NAV if role in each.roles]


@cache
def environment(chosen: str) -> Environment:
    """The desk's templates in a language."""
    return templates_in(FOLDER, chosen)
