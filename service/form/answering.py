"""Answers held against the description, by the rules that openapi.yaml tells for `GET /v1/form`: what is asked, what is offered, what is sent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from service.form.asking import Value, holds

Described = Mapping[str, Any]
Answers = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Offered:
    """A choice of a question as it stands for these answers."""

    value: Value
    label: str
    help: str = ""
    illustration: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A question that is asked, with what it offers; `answer` None: not answered. `sole`: nothing but this can be meant."""

    question: Described
    choices: tuple[Offered, ...]
    answer: Any
    sole: bool = False

    @property
    def path(self) -> str:
        """The question's name."""
        return str(self.question["path"])


def shown(form: Described, scope: str, answers: Answers) -> tuple[Shown, ...]:
    """The questions asked once, or for one assembly, after these answers."""
    known: Answers = {}
    found = []
    for question in form["questions"]:
        if question["scope"] != scope or not holds(question.get("when", ()), known):
            continue
        choices = _choices(form, question, known)
        if question["kind"] in ("choice", "flag", "presence") and not choices:
            continue
        each = _answered(question, choices, answers)
        if each.answer is not None:
            known[each.path] = each.answer
        found.append(each)
    return tuple(found)


def _answered(question: Described, choices: tuple[Offered, ...], answers: Answers) -> Shown:
    answer = answers.get(question["path"])
    if choices and answer not in [each.value for each in choices]:
        answer = None
    sole = question["required"] and len(choices) == 1
    if answer is None:
        answer = choices[0].value if sole else question.get("default")
    return Shown(question, choices, answer, sole)


def _choices(form: Described, question: Described, known: Answers) -> tuple[Offered, ...]:
    named = {each["value"]: each for each in question.get("choices", ()) if holds(each.get("when", ()), known)}
    values = _in_order(_from_tables(form, question, known), tuple(named)) if "from" in question else tuple(named)
    return tuple(_offered(value, named.get(value, {})) for value in values)


def _in_order(values: tuple[Value, ...], named: tuple[Value, ...]) -> tuple[Value, ...]:
    """First those that the question names, in its order."""
    return (*(each for each in named if each in values), *(each for each in values if each not in named))


def _offered(value: Value, named: Described) -> Offered:
    return Offered(value, named.get("label", str(value)), named.get("help", ""), named.get("illustration", ""))


def _from_tables(form: Described, question: Described, known: Answers) -> tuple[Value, ...]:
    source = next((each for each in question["from"] if holds(each.get("when", ()), known)), None)
    if source is None:
        return ()
    table = next(each for each in form["tables"] if each["name"] == source["table"])
    places = {name: place for place, name in enumerate(table["columns"])}
    wanted = [
        (places[each["column"]], known[each["path"]])
        for each in source.get("match", ())
        if each["path"] in known and holds(each.get("when", ()), known)
    ]
    rows = [row for row in table["rows"] if all(answer in row[place] for place, answer in wanted)]
    return tuple(dict.fromkeys(value for row in rows for value in row[places[source["column"]]]))


def request_of(form: Described, whole: Answers, assemblies: Iterable[Answers]) -> dict[str, Any]:
    """The request for a quote that these answers make."""
    request: dict[str, Any] = {"assemblies": []}
    for each in shown(form, "request", whole):
        _put(request, each)
    for answers in assemblies:
        assembly: dict[str, Any] = {}
        for each in shown(form, "assembly", answers):
            _put(assembly, each)
        request["assemblies"].append(assembly)
    return request


def _put(within: Any, each: Shown) -> None:
    question, answer = each.question, each.answer
    if answer is None or (question["kind"] == "presence" and answer is False):
        return
    value: Any = {} if question["kind"] == "presence" else answer
    steps = question["pointer"].removeprefix("/").split("/")
    for step, following in zip(steps, [*steps[1:], ""], strict=True):
        empty: Any = value if not following else [] if following.isdigit() else {}
        if isinstance(within, list):
            if int(step) == len(within):
                within.append(empty)
            within = within[int(step)]
        elif not following:
            within[step] = value
        else:
            within = within.setdefault(step, empty)


def question_at(asked: Iterable[Shown], pointer: str) -> str | None:
    """The path of the question that a place in the request belongs to: the one there, else the first below it that lacks an answer, else one above."""
    asked = tuple(asked)
    below = [each for each in asked if _within(each.question["pointer"], pointer)]
    above = [each for each in asked if _within(pointer, each.question["pointer"])]
    exact = [each for each in below if each.question["pointer"] == pointer and each.question["kind"] != "presence"]
    open_ones = [each for each in below if each.answer is None and each.question["kind"] == "length"]
    for found in (exact, open_ones, [each for each in below if each.question["kind"] != "presence"], above[::-1], below):
        if found:
            return found[0].path
    return None


def _within(inner: str, outer: str) -> bool:
    return inner == outer or inner.startswith(f"{outer}/")
