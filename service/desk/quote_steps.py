"""The steps that can be taken on a quote's page. Each is one call of the API; a refusal is shown on the page, which keeps what was typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any, NamedTuple
from urllib.parse import quote as percent
from uuid import UUID

from flask import Blueprint, Response, request

from service.auth.sessions import the_session
from service.desk import calls
from service.desk.pages import HTML, redirect
from service.desk.quote import quote_page
from service.desk.refusal_words import refusal_of
from service.desk.remeasured import measured_values
from service.http.responses import produces
from service.wording import translator

quote_steps = Blueprint("desk_quote_steps", __name__)
Typed = Mapping[str, str]
Json = dict[str, Any]


class Act(NamedTuple):
    """A step: its address below the quote in the API, the body to send, and the key of the message shown afterwards."""

    place: str
    body: Callable[[Typed], Json]
    done: str


def _acceptance(typed: Typed) -> Json:
    listed = {"open": typed["open"], "understood": typed.get("understood", "")} if typed.get("open") else {}
    return {"customer": {"name": typed.get("name", "")}, "note": typed.get("note", ""), **listed}


ACTS: Mapping[str, Act] = {
    "accept": Act("acceptance", _acceptance, "accepted"),
    "decline": Act("decline", lambda typed: {"by": typed.get("name", ""), "reason": typed.get("reason", "")}, "declined"),
    "withdraw": Act("withdrawal", lambda typed: {"by": _me(), "reason": typed.get("reason", "")}, "withdrawn"),
    "cancel": Act("cancellation", lambda typed: {"by": _me(), "reason": typed.get("reason", "")}, "cancelled"),
    "hand-over": Act("handover", lambda typed: {"by": _me(), "to": typed.get("name", ""), "note": typed.get("note", "")}, "handed_over"),
    "end-links": Act("links/end", lambda _: {"by": _me()}, "links_ended"),
}


@quote_steps.post("/desk/quotes/<uuid:quote_id>/<any('accept', 'decline', 'withdraw', 'cancel', 'hand-over', 'end-links'):step>")
@produces(HTML)
def take(quote_id: UUID, step: str) -> Response:
    """Take a step of the quote's lifecycle."""
    act = ACTS[step]
    return _done(quote_id, step, act.place, act.body(_typed()), act.done)


@quote_steps.post("/desk/quotes/<uuid:quote_id>/settle")
@produces(HTML)
def settle(quote_id: UUID) -> Response:
    """Answer a finding in words, or with new measurements, which make a revision."""
    typed = _typed()
    answer = {"code": typed.get("code", ""), "pointer": typed.get("pointer", ""), "words": typed.get("words", ""), "by": _me()}
    new_values = measured_values(answer["pointer"], typed, calls.read(f"/v1/quotes/{quote_id}/request"))
    body = {**answer, "tag": typed.get("tag", ""), **({"measured": new_values} if new_values else {})}
    key = f"{typed.get('tag', '')}|{answer['code']}|{answer['pointer']}"
    return _done(quote_id, key, "settlements", body, "measured_anew" if new_values else "settled")


@quote_steps.post("/desk/quotes/<uuid:quote_id>/settlements/<uuid:settlement_id>/undo")
@produces(HTML)
def undo(quote_id: UUID, settlement_id: UUID) -> Response:
    """Undo a settlement."""
    body = {"by": _me(), "reason": _typed().get("reason", "")}
    return _done(quote_id, str(settlement_id), f"settlements/{settlement_id}/reversal", body, "unsettled")


@quote_steps.post("/desk/quotes/<uuid:quote_id>/questions/<uuid:question_id>/answer")
@produces(HTML)
def answer(quote_id: UUID, question_id: UUID) -> Response:
    """Answer one of the customer's questions."""
    body = {"words": _typed().get("words", ""), "by": _me()}
    return _done(quote_id, str(question_id), f"questions/{question_id}/answer", body, "answered")


@quote_steps.post("/desk/quotes/<uuid:quote_id>/link")
@produces(HTML)
def link(quote_id: UUID) -> Response:
    """Make a link for the customer. It is shown only now, with a message that contains it."""
    made = calls.post(f"/v1/quotes/{quote_id}/links", {})
    if not made.ok:
        return quote_page(str(quote_id), made.status, refusal=refusal_of(made), sent="link")
    summary = calls.read(f"/v1/quotes/{quote_id}", {"view": "summary"})
    return quote_page(str(quote_id), link=_Link.of(made.value, summary, calls.read(f"/v1/quotes/{quote_id}")["customer"]["email"] or ""))


class _Link(NamedTuple):
    """A link for the customer, and a message with it. `whole`: the service knows its own address. Otherwise `url` is only a path, and there is no
    message: the host that a request names could be anyone's, and the link's token must not be sent there.
    """

    url: str
    mailto: str
    whole: bool

    @classmethod
    def of(cls, made: Json, summary: Json, email: str) -> _Link:
        """From the API's answers. The message is in the quote's language, which is the customer's."""
        language = summary.get("language", "en")
        url = f"{made.get('url', made['href'])}&format=html&lang={language}"
        say = translator(language)
        boat = summary["boat"]["name"]
        subject = say("Quotation %(number)s") % {"number": summary["number"]} + (f": {boat}" if boat else "")
        text = say(MESSAGE) % {"number": summary["number"], "url": url}
        return cls(
            url,
            f"mailto:{percent(email)}?subject={percent(subject)}&body={percent(text.replace(chr(10), chr(13) + chr(10)))}",
            "url" in made,
        )


def _(text: str) -> str:
    return text


MESSAGE = _(
    "Here is our quotation %(number)s:\n\n%(url)s\n\nThe page opens in your browser. There you read it, ask us about it, and accept or decline it. Whoever has this link can answer for you: pass it on to nobody.\n"
)


def _done(quote_id: UUID, sent: str, place: str, body: Json, done: str) -> Response:
    """Send the step to the API, and return to the quote or to the revision it made. If it is refused: the quote's current page, with what was typed."""
    typed = _typed()
    answer = calls.post(f"/v1/quotes/{quote_id}/{place}", _without_blanks(body), typed.get("once", ""), typed.get("seen", ""))
    if answer.ok:
        return redirect(f"/desk/quotes/{answer.value.get('id', quote_id)}", done)
    if answer.status == HTTPStatus.NOT_FOUND:
        raise calls.problem_in(answer)
    return quote_page(str(quote_id), answer.status, refusal=refusal_of(answer), sent=sent, typed=typed)


def _typed() -> dict[str, str]:
    return {name: value.replace("\r\n", "\n") for name, value in request.form.items()}


def _without_blanks(body: Json) -> Json:
    """The body without its blank texts, so that the API says what is missing."""
    return {name: value for name, value in body.items() if not (isinstance(value, str) and not value.strip())}


def _me() -> str:
    return the_session().person.name
