"""For a number without a unit, offers the lengths that it may stand for, in the units of the first length. One is taken at a tap, never by itself."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from marshmallow import ValidationError

from service.schemas.fields import read_length
from service.schemas.lengths import completed_as, system_of
from service.web_form.answering import Answers, Described, Shown, shown
from service.web_form.draft import Draft

TAKE = "take"
Offer = tuple[str, str]  # what its button sends, and the length


def remembered(form: Described, draft: Draft) -> str:
    """The unit system of the first readable length, in the order of the questions; empty if there is none yet."""
    asked: Iterable[tuple[str, Answers]] = (("request", draft.whole), *(("assembly", each) for each in draft.assemblies))
    lengths = (one for scope, answers in asked for each in shown(form, scope, answers) for one in texts_of(each))
    return next((system_of(each) for each in lengths if _can_be_read(each)), "")


def offers(entry: Shown, system: str) -> list[Offer]:
    """The lengths to offer for a question's numbers; in both systems while no units are known yet."""
    found = []
    for place, text in enumerate(texts_of(entry)):
        for at, one in enumerate(completed_as(text)):
            if system in ("", one["system"]):
                found.append((f"{TAKE}-{place}-{at}-{entry.path}", one["text"]))
    return found


def take(form: Described, answers: Answers, offer: str) -> None:
    """Replace what was written by the length that a button offered; does nothing if that is no longer offered. `offer`: what the button sends."""
    place, _, rest = offer.partition("-")
    at, _, path = rest.partition("-")
    kind = next((each["kind"] for each in form["questions"] if each["path"] == path), "")
    written = answers.get(path)
    texts = [written] if isinstance(written, str) else written
    if kind not in ("length", "lengths") or not isinstance(texts, list) or not _within(place, texts):
        return
    offered = completed_as(texts[int(place)])
    if _within(at, offered):
        texts = [*texts[: int(place)], offered[int(at)]["text"], *texts[int(place) + 1 :]]
        answers[path] = texts if kind == "lengths" else texts[0]


def texts_of(entry: Shown) -> list[str]:
    """The lengths that answer a question, as they were written."""
    if entry.question["kind"] not in ("length", "lengths") or entry.answer is None:
        return []
    return [entry.answer] if isinstance(entry.answer, str) else list(entry.answer)


def _within(place: str, listed: list[Any]) -> bool:
    return place.isascii() and place.isdigit() and len(place) < 4 and int(place) < len(listed)


def _can_be_read(text: str) -> bool:
    try:
        read_length(text, True)
    except ValidationError:
        return False
    return True
