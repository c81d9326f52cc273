"""The shop's people and their sessions, for the owner: to make sign-in links and end sessions."""

from __future__ import annotations

from flask import Blueprint, Response

from service.auth.sessions import the_session
from service.credentials.people import Role
from service.desk.numbers import page_speech
from service.desk.pages import HTML, redirect, render_page
from service.http.current import settings, staff
from service.http.problems import unknown
from service.http.responses import produces
from service.quotes.links import address

people = Blueprint("desk_people", __name__)


@people.get("/desk/people")
@produces(HTML)
def listed() -> Response:
    """Who may sign in, and their open sessions."""
    return _page()


@people.post("/desk/people/<person_id>/link")
@produces(HTML)
def send_link(person_id: str) -> Response:
    """Make a sign-in link for the owner to send. Never for an owner: a stolen session could otherwise renew itself."""
    person = next((each for each in staff().every() if each.id == person_id and each.ended_at is None), None)
    if person is None or person.role is Role.OWNER:
        raise unknown("person_id", "unknown_person", "Links are made here for people of counter and bench; an owner's by the command.")
    return _page(f"/desk/sign-in?link={staff().make_link(person.id, the_session().person.id)}", person.name)


@people.post("/desk/sessions/<session_id>/end")
@produces(HTML)
def end_session(session_id: str) -> Response:
    """End a session at once."""
    if any(each.id == session_id for each in staff().sessions()):
        staff().sign_out(session_id)
    return redirect("/desk/people", "session_ended")


def _page(link: str = "", whose: str = "") -> Response:
    """The page. `link`: the path of a link just made. Its host is never taken from the request, whose sender can name any."""
    every, at = [each for each in staff().every() if each.ended_at is None], address() or ""
    return render_page(
        "people.html", people=every, sessions=staff().sessions(), link=f"{at}{link}" if link else "", whose=whose, whole=bool(at),
        certain=settings().base_url is not None, mine=the_session().id, speech=page_speech(),
    )  # fmt: skip
