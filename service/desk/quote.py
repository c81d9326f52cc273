"""A quote's page: what the customer sees, what the shop sees, and what can be done with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from flask import Blueprint, Response

from service.auth.sessions import the_session
from service.credentials.people import Role
from service.desk import calls
from service.desk.pages import HTML, language, render_page
from service.desk.quote_view import view_of
from service.http.problems import unknown
from service.http.responses import produces, reply
from service.lifecycle.events import EventType

quotes = Blueprint("desk_quotes", __name__)
PDF = "application/pdf"
PAPERS = {
    "quotation.pdf": ("", "pdf"),
    "quotation.html": ("", "html"),
    "rig-sheet.pdf": ("/rig-sheet", "pdf"),
    "bench-sheet.pdf": ("/bench-sheet", "pdf"),
}
PASSED_ON = ("Content-Disposition", "Content-Language", "Content-Security-Policy", "Cache-Control")
LATEST = 200  # events shown of a quote's history


@quotes.get("/desk/quotes/<uuid:quote_id>")
@produces(HTML)
def page(quote_id: UUID) -> Response:
    """The quote's page."""
    return quote_page(str(quote_id))


@quotes.get("/desk/quotes/<uuid:quote_id>/<paper>")
@produces(HTML, PDF)
def paper(quote_id: UUID, paper: str) -> Response:
    """A paper of the quote as the API makes it, in the quote's own language."""
    if paper not in PAPERS:
        raise unknown("paper", "unknown_paper", f"A quote has the papers {', '.join(PAPERS)}.")
    place, form = PAPERS[paper]
    answer = calls.get(f"/v1/quotes/{quote_id}{place}", {"format": form}, accept="*/*")
    kept = {name: answer.headers[name] for name in PASSED_ON if name in answer.headers}
    return reply(answer.body, headers=kept, media=answer.headers["Content-Type"].partition(";")[0])


def quote_page(quote_id: str, status: int = 200, **variables: Any) -> Response:
    """The page of the quote as it stands now. The variable `sent` names the form that was refused, so that its fields stay as typed."""
    at = f"/v1/quotes/{quote_id}"
    answer = calls.get(at)
    view = view_of(answer.value, language())
    events = calls.read(f"{at}/events")["events"]
    return render_page(
        "quote.html", status, view=view, seen=answer.etag, at=f"/desk/quotes/{quote_id}", events=[_event_for_people(each) for each in events[-LATEST:][::-1]],
        may_act=the_session().person.role in (Role.COUNTER, Role.OWNER), neighbours=_neighbours(answer), **{"sent": "", "link": None, **variables},
    )  # fmt: skip


def _event_for_people(event: Mapping[str, Any]) -> dict[str, Any]:
    """The event with a note in words for people. The API's note of a settlement has finding codes and pointers, which are for programs: of
    an answer in words the tags remain, of one by measurement what was said with it.
    """
    note = event["note"]
    if event["type"] != EventType.SETTLED or not note:
        return dict(event)
    head, _, words = note.partition(". ")
    if ", measured: /" in head:
        return {**event, "note": words}
    tags = [tag for each in note.split("; ") if (tag := each.rpartition(": ")[0])]
    return {**event, "note": ", ".join(dict.fromkeys(tags))}


def _neighbours(answer: calls.Answer) -> dict[str, str]:
    """The ids of the revisions before and after this one, by the relation in the API's Link header."""
    ids = {}
    for link in filter(None, answer.headers.get("Link", "").split(", ")):
        target, _, relation = link.partition("; rel=")
        ids[relation.strip('"')] = target.strip("<>").rpartition("/")[2]
    return ids
