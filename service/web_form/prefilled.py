"""A stored request as a draft of the form, and the draft's changes put into the request. Pure.

What was changed in the form is changed in the request; all else stays as it was sent, in its own words and units, also what the form
does not ask. `kept` names what a draft does not show.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from marshmallow import ValidationError

from pricing.catalogue.threads import normal_thread
from pricing.errors import QuantityError
from service.schemas.fields import read_length
from service.web_form.answering import CHOSEN, Answers, Described, Shown, request_of, shown
from service.web_form.draft import LEFT, OF, REVIEW, Draft
from service.web_form.merging import Json, Values, at, changed, grouped, leaves, normalized, within, without

WHOLE = -1  # the place of the request's own fields, beside those of its wires
THREAD = "/turnbuckle/thread"
USUAL = {"turnbuckle.reuse": False, "turnbuckle": False}  # taken for granted if nobody says otherwise
LOST, LESS = 100, 1  # weights of what a draft gets wrong: a value that it does not show, against one that nobody gave or an open question


@dataclass(frozen=True, slots=True)
class Filled:
    """Answers that show a stored part. `values`: theirs by place; `kept`: places that they do not show; `open`: paths of questions without an
    answer, since the request has none or it is kept.
    """

    answers: Answers
    values: Values
    kept: tuple[str, ...]
    open: frozenset[str]


@dataclass(slots=True)
class Stored:
    """A stored request beside the form's questions."""

    form: Described
    request: Json
    _filled: dict[int, Filled] = field(default_factory=dict)

    def filled(self, place: int) -> Filled:
        """The answers that show a wire, by its place in the request; or what is beside the wires."""
        if place not in self._filled:
            scope, stored = ("request", self.request) if place == WHOLE else ("assembly", self.request["assemblies"][place])
            self._filled[place] = prefilled(self.form, scope, stored)
        return self._filled[place]

    def draft(self) -> Draft:
        """The draft that shows the request; each wire carries its index in the request."""
        wires = [{**self.filled(place).answers, OF: place} for place in range(len(self.request["assemblies"]))]
        return Draft(dict(self.filled(WHOLE).answers), wires, step=REVIEW)

    def place(self, answers: Answers) -> int | None:
        """The index in the request of a draft's wire; None for one that was added."""
        place = answers.get(OF)
        return place if isinstance(place, int) and 0 <= place < len(self.request["assemblies"]) else None

    def revised(self, draft: Draft) -> Json:
        """The request with the changes of the draft: wires removed and added, answers changed, kept things left out."""
        beside = {name: each for name, each in self.request.items() if name != "assemblies"}
        return {**self._changed("request", WHOLE, draft.whole, beside), "assemblies": [self.wire(each) for each in draft.assemblies]}

    def wire(self, answers: Answers) -> Json:
        """The request's assembly for one wire of the draft."""
        place = self.place(answers)
        if place is None:
            (made,) = request_of(self.form, {}, [answers])["assemblies"]
            return dict(made)
        return self._changed("assembly", place, answers, self.request["assemblies"][place])

    def _changed(self, scope: str, place: int, answers: Answers, stored: Json) -> Json:
        filled, made = self.filled(place), deepcopy(stored)
        if {path: each for path, each in answers.items() if path not in (OF, LEFT)} != filled.answers:
            values = _with_thread(filled.values, values_of(shown(self.form, scope, answers)))
            changed(made, filled.values, values, parts=scope == "assembly")
        return without(made, [each for each in answers.get(LEFT, ()) if each in filled.kept])


def prefilled(form: Described, scope: str, stored: Json) -> Filled:
    """The answers that show a stored wire, or what is stored beside the wires."""
    given = dict(_given(form, scope, stored))
    answers, entries = _nearest(form, scope, given)
    values = values_of(entries)
    as_sent = _with_thread({THREAD: at(stored, THREAD)}, values)
    if _same(as_sent.get(THREAD), at(stored, THREAD)):
        values = as_sent
    shown_places = {each.question["pointer"] for each in entries if _shows(each, given)} | ({THREAD} & values.keys())
    places = (each for each in leaves(stored) if scope == "assembly" or not within(each, "/assemblies"))
    kept = grouped(stored, [each for each in places if each not in shown_places], shown_places)
    return Filled(answers, values, kept, frozenset(each.path for each in entries if each.missing))


def values_of(entries: tuple[Shown, ...]) -> Values:
    """The values that answers have in the request, by place; defaults too, since choosing a default changes nothing."""
    return {
        each.question["pointer"]: {} if each.question["kind"] == "presence" else each.answer
        for each in entries
        if "pointer" in each.question and each.answer is not None and not each.unsent and not (each.question["kind"] == "presence" and each.answer is False)
    }  # fmt: skip


def _with_thread(before: Values, values: Values) -> Values:
    """The values with the turnbuckle's thread, if they had it before: the form asks for it at the stud that the turnbuckle is on."""
    thread = values.get(f"/{values.get('/turnbuckle/at')}/thread")
    return {**values, THREAD: thread} if thread and THREAD in before and THREAD not in values else values


def _given(form: Described, scope: str, stored: Json) -> Iterator[tuple[str, Any]]:
    """The stored values that the form asks about, by path, as answers of its pages."""
    found = leaves(stored)
    for question in form["questions"]:
        if question["scope"] != scope or "pointer" not in question:
            continue
        place, kind = question["pointer"], question["kind"]
        if kind == "presence":
            yield question["path"], any(each == place or within(each, place) for each in found)
        elif place in found:
            yield question["path"], _as_answer(kind, found[place])
        elif "follows" in question:
            yield question["path"], question["default"]  # it no longer follows, since nobody chose it


def _as_answer(kind: str, value: Any) -> Any:
    if kind == "lengths":
        return [_as_text(each) for each in value]
    return int(value) if kind == "count" else _as_text(value)


def _as_text(value: Any) -> Any:
    """A length as text; any other value unchanged."""
    return f"{value['value']} {value['unit']}" if isinstance(value, dict) else value


def _shows(entry: Shown, given: Mapping[str, Any]) -> bool:
    return entry.path in given and "pointer" in entry.question and not entry.unsent and _same(entry.answer, given[entry.path])


def _same(one: Any, other: Any) -> bool:
    """Whether two values mean the same to the engine: sizes and threads have several spellings."""
    if not (isinstance(one, str) and isinstance(other, str)):
        return bool(normalized(one) == normalized(other))
    normal = _normal(one)
    return bool(normalized(one) == normalized(other)) or (normal is not None and normal == _normal(other))


@lru_cache(maxsize=4096)
def _normal(text: str) -> object:
    """A length in mm, a thread by its usual name; None for any other text."""
    try:
        return read_length(text, True)
    except ValidationError:
        pass
    try:
        return normal_thread(text)
    except QuantityError:
        return None


def _nearest(form: Described, scope: str, given: Mapping[str, Any]) -> tuple[Answers, tuple[Shown, ...]]:
    """The answers that lose least of the given values, imply least that nobody gave and leave least open; and their questions as shown."""
    answers, decided = dict(given), set[str]()
    entries = shown(form, scope, answers)
    best = _distance(entries, given)
    while (found := _next_to_decide(entries, given, decided)) is not None:
        decided.add(found.path)
        for value in _values(found, given):
            tried = shown(form, scope, {**answers, found.path: value})
            distance = _distance(tried, given)
            if distance < best:
                answers[found.path], entries, best = value, tried, distance
            if not best:
                break
    return answers, entries


def _next_to_decide(entries: tuple[Shown, ...], given: Mapping[str, Any], decided: set[str]) -> Shown | None:
    """The next question that the given values leave unanswered, or whose answer contradicts them or implies more."""
    sources = {each.by for each in entries if each.by and not _follows(each, given)}
    for each in entries:
        if each.path in decided or not each.choices or each.question["kind"] not in CHOSEN or not each.question["required"]:
            continue
        unknown = each.sole and each.path not in given and any(not one.sent for one in each.choices)
        if each.path in sources or unknown or (each.answer is None and not each.hidden):
            return each
    return None


def _follows(entry: Shown, given: Mapping[str, Any]) -> bool:
    return entry.assumed or not entry.answer if entry.path not in given else _same(given[entry.path], entry.answer)


def _values(asked: Shown, given: Mapping[str, Any]) -> Iterator[Any]:
    """The choices that contradict no given value. A field of the request gets no value that nobody gave: only another spelling of its own, or
    "not known" if no value was given.
    """
    mine, short = given.get(asked.path), bool(asked.question.get("short"))
    paths = {path for each in asked.choices if each.sent for path in each.answers}
    is_given = mine is not None or (bool(paths) and paths <= given.keys())
    not_known = any(not each.sent for each in asked.choices) and not paths & given.keys()
    for each in asked.choices:
        fits = all(_same(given[path], value) for path, value in each.answers.items() if path in given)
        if (
            fits
            and not (each.answers and not_known)
            and (not is_given if not each.sent else short or (mine is not None and _same(mine, each.value)))
        ):
            yield each.value


def _distance(entries: tuple[Shown, ...], given: Mapping[str, Any]) -> int:
    """How far the answers are from the given values, by the weights LOST and LESS."""
    shown_paths = {each.path for each in entries if _shows(each, given)}
    implied = [
        each.answer
        for each in entries
        if each.path not in given
        and "pointer" in each.question
        and each.answer is not None
        and not (each.assumed or each.sole or each.unsent)
        if USUAL.get(each.path) != each.answer
    ]
    lost = sum(1 for path, value in given.items() if path not in shown_paths and not (path == "turnbuckle" and value is False))
    return LOST * lost + sum(LESS if each is False else 2 * LESS for each in implied) + LESS * sum(1 for each in entries if each.missing)
