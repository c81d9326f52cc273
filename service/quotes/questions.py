"""A customer's questions about a quote, and the shop's answers."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from pricing.document import rendered
from pricing.model import Question
from pricing.settling import questions_of, standing_of
from service.encoding import json
from service.http.caller import key_name
from service.http.current import lifecycles
from service.http.preconditions import judge_match
from service.http.problems import Problem, fault, unknown
from service.lifecycle.actions import Answering, Asking
from service.lifecycle.events import EventType
from service.lifecycle.statuses import Step
from service.storage import Change, Event, Stored, moment
from service.storage.ids import new_id

MOST = 5  # questions per quote
OF_QUOTE = ("id", "number", "revision", "status")


def ask(quote_id: str, asking: Asking) -> Stored:
    """Ask the shop a question about the quote. Raises NoQuote, NotAllowed; Problem: 409 if the quote has `MOST` questions, 412."""
    at = moment()

    def change(stored: Stored) -> Change:
        found = stored.quote()
        if len(questions_of(found)) >= MOST:
            words = f"{MOST} questions were asked about this quote already: telephone or write to the shop instead."
            raise Problem(409, words, [fault("#", "enough_questions", words)])
        question = Question(id=new_id(), words=asking.words, asked_at=at)
        return Change(replace(standing_of(found), questions=(*questions_of(found), question)))

    return lifecycles().take(quote_id, Step.ASK, Event(at, EventType.QUESTION_ASKED.value, key=key_name()), judge_match, change)


def answer(quote_id: str, question_id: str, answering: Answering) -> Stored:
    """Answer a question. Raises NoQuote; Problem: 404, 409 if it has already been answered, 412."""
    at, key = moment(), key_name()

    def change(stored: Stored) -> Change:
        found = stored.quote()
        before = next((each for each in questions_of(found) if each.id == question_id), None)
        if before is None:
            raise unknown(
                "question",
                "unknown_question",
                "This quote has no question with this id: `GET /v1/quotes/{id}/questions` lists its questions.",
            )
        if before.answer is not None:
            words = f"This question has already been answered, at {before.answered_at}."
            raise Problem(409, words, [fault("#", "already_answered", words)])
        after = replace(before, answer=answering.words, answered_at=at, by=answering.by, key=key)
        return Change(replace(standing_of(found), questions=tuple(after if each is before else each for each in questions_of(found))))

    event = Event(at, EventType.QUESTION_ANSWERED.value, answering.by, key=key)
    return lifecycles().take(quote_id, Step.ANSWER, event, judge_match, change)


def questions(stored: Stored) -> bytes:
    """The questions about a quote with their answers, and how many more may be asked, as JSON."""
    found = stored.quote()
    document: dict[str, Any] = rendered(found)
    asked = document.get("questions", [])
    return json.write({**{name: document[name] for name in OF_QUOTE}, "questions": asked, "questions_left": max(MOST - len(asked), 0)})
