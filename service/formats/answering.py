"""Handles the forms of the quotation's page, which a customer posts: each is carried out once, and answered by the page."""

from __future__ import annotations

import re
from typing import Any

from flask import Response, request
from werkzeug.datastructures import MultiDict

from service.computing.asking import made_of
from service.documents.quotation.customer import Typed, Visit
from service.documents.quotation.html import page, style_hashes
from service.encoding import json
from service.formats.customer import POLICY, visit
from service.formats.quote import paper_language, shown
from service.formats.replies import HTML
from service.http.bodies import refuse_too_large
from service.http.caller import by_link
from service.http.current import settings
from service.http.idempotency import run_once
from service.http.parameters import TOKEN
from service.http.preconditions import is_of
from service.http.problems import Problem, fault, wrong_type
from service.http.responses import reply
from service.lifecycle.statuses import NotAllowed
from service.quotes import actions
from service.quotes.questions import ask
from service.schemas.life import ACCEPTANCE, ASKING, DECLINING, read
from service.storage import Stored

TAKEN = "application/x-www-form-urlencoded"
KINDS = ("accept", "decline", "ask")
_ONCE = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII)
Json = dict[str, Any]
Sent = MultiDict[str, str]


def answered(quote_id: str) -> Response:
    """303 back to the page once the answer is carried out; otherwise the page as it is now, with the reason and what was typed. Raises NoQuote;
    Problem: 411 without a length, 413 if it is too large, 415 for a type that the page does not send.
    """
    sent = _sent()
    language = paper_language("the quotation", actions.quote(quote_id))
    kind, once = sent.get("reply", ""), sent.get("once", "")
    try:
        _judge_whole(kind, once)

        def taken() -> Response:
            _take(quote_id, kind, sent)
            return _back(quote_id, language)

        return run_once(f"{once}-{kind}", taken, lambda: (json.write(sorted(sent.items(multi=True))),))
    except (NotAllowed, Problem) as error:
        name = _refusal(error)
        if name is None or not by_link():
            raise
        stored = actions.quote(quote_id)
        seen = visit(stored, language, f"../{quote_id}", name, Typed.of(sent), once if name == "running" else "")
        return _page(stored, language, seen, 409 if isinstance(error, NotAllowed) else error.status)


def _judge_whole(kind: str, once: str) -> None:
    if kind not in KINDS or not _ONCE.fullmatch(once):
        raise Problem(422, "Send what the quotation's page sends.", [fault("#", "unclear", "the form is not complete")])


def to_the_page(quote_id: str) -> Response:
    """303 to the page. Raises NoQuote."""
    return _back(quote_id, paper_language("the quotation", actions.quote(quote_id)))


def _back(quote_id: str, language: str) -> Response:
    return Response(status=303, headers={"Location": f"../{quote_id}?{_query(language)}#answer"})


def _page(stored: Stored, language: str, seen: Visit, status: int) -> Response:
    body = made_of(stored, page, shown(stored, seen.reading), language, settings().holidays, settings().base_url, seen)
    return reply(body, status, {"Content-Security-Policy": POLICY.format(styles=style_hashes()), "Content-Language": language}, HTML.media)


def _sent() -> Sent:
    refuse_too_large()
    if request.mimetype != TAKEN:
        raise wrong_type(f"Send what the quotation's page sends: {TAKEN}.", TAKEN)
    return MultiDict((name, value.replace("\r\n", "\n")) for name, value in request.form.items(multi=True))


def _query(language: str) -> str:
    token = request.args.get(TOKEN)
    return "&".join((*([] if token is None else [f"{TOKEN}={token}"]), f"lang={language}", "format=html"))


def _take(quote_id: str, kind: str, sent: Sent) -> None:
    def judge(stored: Stored) -> None:
        if not is_of(sent.get("seen", ""), stored):
            words = f"The quote has changed since the page was opened: it is now {stored.status}."
            raise Problem(412, words, [fault("#", "changed_since_read", words)])

    if kind == "accept":
        asked: Json = {"customer": {"name": sent.get("name", "").strip(), **_address(sent)}}
        asked |= {name: sent[name] for name in ("open", "understood") if sent.get(name, "").strip()}
        actions.accept(quote_id, read(ACCEPTANCE, asked), judge)
    elif kind == "decline":
        asked = {"reason": sent["reason"]} if sent.get("reason", "").strip() else {}
        asked |= {"customer": _address(sent)} if _address(sent) else {}
        actions.decline(quote_id, read(DECLINING, asked), judge)
    else:
        ask(quote_id, read(ASKING, {"words": sent.get("words", "")}))  # in any state: a question decides nothing


def _address(sent: Sent) -> Json:
    """The e-mail address, which the page asks whoever comes by a reading link."""
    return {"email": sent["email"].strip()} if sent.get("email", "").strip() else {}


_CODES = {
    "other_address": "other_address",
    "no_address": "ended",  # erased since the page was opened: it says now how to decide
    "on_hold": "on_hold",
    "open_findings": "open",
    "enough_questions": "enough",
    "still_running": "running",
    "key_of_another_request": "again",
    "unclear": "unclear",
}
_PLACES = {
    "#/customer/name": "name",
    "#/open": "open",
    "#/understood": "open",
    "#/reason": "words",
    "#/words": "words",
    "#/customer/email": "address",
}


def _refusal(error: NotAllowed | Problem) -> str | None:
    """The name under which the page words a refusal; None for one that the form does not handle."""
    if isinstance(error, NotAllowed):
        return "ended"
    if error.status == 412:  # Precondition Failed
        return "changed"
    if error.status == 429:  # Too Many Requests: a page of its own says how long to wait
        return None
    first = next(iter(error.faults), {})
    return _CODES.get(str(first.get("code"))) or _PLACES.get(str(first.get("pointer")))
