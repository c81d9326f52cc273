"""Pages of the desk: its templates, their frame, and the headers of every page. No page has a script or a style in it."""

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
from service.http.behind import the_facts
from service.http.languages import preferred_language
from service.http.responses import reply
from service.wording.templates import templates_in

FOLDER = Path(__file__).parent / "templates"
HTML = "text/html"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)


def language() -> str:
    """The language of the page: that of the session if it was chosen, else the browser's."""
    session: Session | None = the_facts().get("session")
    return (session and session.language) or preferred_language()


def shown(template: str, status: int = 200, **given: Any) -> Response:
    """A page from a template, with what the template needs."""
    chosen = language()
    made = environment(chosen).get_template(template).render(**{"language": chosen, "languages": LANGUAGES, **frame(), **given})
    return reply(made.encode(), status, headers_of(chosen), HTML)


def frame() -> dict[str, Any]:
    """What the frame of every page needs, beside the languages."""
    session: Session | None = the_facts().get("session")
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


def headers_of(chosen: str) -> Mapping[str, str]:
    """The headers of a page. Without a referrer a browser would call a form's origin `null`, and no form could be told from a stranger's."""
    return {
        "Content-Language": chosen, "Content-Security-Policy": POLICY, "Referrer-Policy": "same-origin", "Cache-Control": "no-store",
        "Vary": "Accept-Language, Cookie",
    }  # fmt: skip


def go(path: str, done: str = "") -> Response:
    """To another page after something was done (RFC 9110, 15.4.4); `done`: a word of `done.html` that the page says on top."""
    return reply(
        b"", 303, {"Location": f"{path}{'&' if '?' in path else '?'}done={done}" if done else path, "Cache-Control": "no-store"}, HTML
    )


class Place(NamedTuple):
    """A page of the bar on top: its address, its name in English, and whose it is."""

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
    """The pages of the bar for a role."""
    return [each for each in NAV if role in each.roles]


@cache
def environment(chosen: str) -> Environment:
    """The desk's templates in a language."""
    return templates_in(FOLDER, chosen)
