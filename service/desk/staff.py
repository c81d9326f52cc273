"""The shop's people and their sessions, for the owner: to send a sign-in link, and to end a session."""

from __future__ import annotations

from flask import Blueprint, Response

from service.auth.sessions import the_session
from service.credentials.people import Role
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, shown
from service.http.current import settings, staff
from service.http.problems import unknown
from service.http.responses import produces
from service.quotes.links import address

people = Blueprint("desk_people", __name__)


@people.get("/desk/people")
@produces(HTML)
def listed() -> Response:
    """Who signs in, and where they are signed in."""
    return _page()


@people.post("/desk/people/<person_id>/link")
@produces(HTML)
def send_link(person_id: str) -> Response:
    """Make a sign-in link to be sent by the owner. None for another owner, so that a stolen session makes no lasting one of its kind."""
    found = next((each for each in staff().every() if each.id == person_id and each.ended_at is None), None)
    if found is None or found.role is Role.OWNER:
        raise unknown("person_id", "unknown_person", "Links are made here for people of counter and bench; an owner's by the command.")
    return _page(f"/desk/sign-in?link={staff().make_link(found.id, the_session().person.id)}", found.name)


@people.post("/desk/sessions/<session_id>/end")
@produces(HTML)
def end_session(session_id: str) -> Response:
    """End a session at once."""
    if any(each.id == session_id for each in staff().sessions()):
        staff().sign_out(session_id)
    return go("/desk/people", "session_ended")


def _page(link: str = "", whose: str = "") -> Response:
    """`link`: the path of one just made. What stands before it is never taken from the request, whose sender may write any host."""
    every, at = [each for each in staff().every() if each.ended_at is None], address() or ""
    return shown(
        "people.html", people=every, sessions=staff().sessions(), link=f"{at}{link}" if link else "", whose=whose, whole=bool(at),
        certain=settings().base_url is not None, mine=the_session().id, speech=spoken(),
    )  # fmt: skip
