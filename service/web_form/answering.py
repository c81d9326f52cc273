"""Evaluates answers against the description, by the rules in openapi.yaml for `GET /v1/form`: what is asked, what is offered, what is
sent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from service.web_form.asking import Value, holds

_BRACED = re.compile(r"\{([^{}]+)\}")
Described = Mapping[str, Any]
Answers = dict[str, Any]
CHOSEN = ("choice", "flag", "presence")


@dataclass(frozen=True, slots=True)
class Offered:
    """A choice offered by a question, given the answers so far."""

    value: Value
    label: str
    help: str = ""
    illustration: str = ""
    answers: Mapping[str, Value] = field(default_factory=dict)
    opens: tuple[str, ...] = ()
    sent: bool = True
    spot: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """An entry of the form: a question that applies, with its choices and its answer, None if there is none.

    `sole`: only one answer is possible. `missing`: an answer is needed. `assumed`: the answer is a default that nobody gave, so it is not sent.
    `hidden`: it is answered without being asked, `by` the short question at that path or as on the other side of the boat.
    """

    question: Described
    choices: tuple[Offered, ...]
    answer: Any
    sole: bool = False
    missing: bool = False
    assumed: bool = False
    hidden: bool = False
    by: str = ""

    @property
    def path(self) -> str:
        """The question's path."""
        return str(self.question["path"])

    @property
    def unsent(self) -> bool:
        """Whether the answer is no value for the request."""
        return any(each.value == self.answer and not each.sent for each in self.choices)


def shown(form: Described, scope: str, answers: Answers) -> tuple[Shown, ...]:
    """The questions that apply, given these answers: of the scope `request` or of one `assembly`; hidden ones are included."""
    known: Answers = {}
    by_short: dict[str, tuple[str, Value]] = {}  # what short questions answered, by the path that they answer
    unsent: set[str] = set()
    entries = []
    for question in form["questions"]:
        if question["scope"] != scope or not holds(question.get("when", ()), known):
            continue
        sent = {path: answer for path, answer in known.items() if path not in unsent} if unsent else known
        choices = _choices(form, question, sent, known)
        if question["kind"] in CHOSEN and not choices:
            continue
        entry = _answered(question, choices, _given(question, choices, answers, form), by_short)
        if "follows" in question and question["path"] not in answers and not entry.assumed:
            entry = replace(entry, hidden=True)
        if entry.answer is not None:
            known[entry.path] = entry.answer
        if entry.unsent:
            unsent.add(entry.path)
        chosen = next((choice for choice in choices if choice.value == entry.answer), None)
        by_short |= {path: (entry.path, value) for path, value in (chosen.answers if chosen else {}).items()}
        entries.append(entry)
    return tuple([_judged(form, entry, known) for entry in entries])


def _judged(form: Described, entry: Shown, known: Answers) -> Shown:
    """An entry once all answers are known: with its wording, and whether it is missing or hidden."""
    question = as_asked(entry.question, known)
    if question is not entry.question:
        entry = replace(entry, question=question)
    if _is_missing(entry, known):
        entry = replace(entry, missing=True)
    return replace(entry, hidden=True) if not entry.hidden and _as_copied(form, entry, known) else entry


def visible(form: Described, scope: str, answers: Answers) -> tuple[Shown, ...]:
    """The questions that a page shows: those that are not hidden."""
    return tuple(entry for entry in shown(form, scope, answers) if not entry.hidden)


def asking_sections(form: Described, scope: str, answers: Answers) -> list[str]:
    """The sections of a scope that ask something, in order."""
    asking = {entry.question["section"] for entry in visible(form, scope, answers)}
    return [section["name"] for section in form["sections"] if section["name"] in asking]


def titled(form: Described, section: str, known: Mapping[str, Any], *, by: str = "title") -> str:
    """A section's name, given these answers: its title, or its `short` name."""
    described = next(each for each in form["sections"] if each["name"] == section)
    return str(next((wording[by] for wording in described.get("wordings", ()) if holds(wording["when"], dict(known))), described[by]))


def as_asked(question: Described, known: Mapping[str, Any]) -> Described:
    """The question, given these answers: required or not, with its label and help."""
    if "required_when" in question and holds(question["required_when"], dict(known)):
        question = {**question, "required": True}
    words = next((each for each in question.get("wordings", ()) if holds(each["when"], dict(known))), None)
    return question if words is None else {**question, "label": words["label"], "help": words.get("help", question.get("help", ""))}


def _is_missing(entry: Shown, known: Answers) -> bool:
    return entry.answer is None and (entry.question["required"] or entry.question.get("together") in known)


def _as_copied(form: Described, entry: Shown, known: Answers) -> bool:
    """Whether a copied wire need not be asked this, since the answer is that of the other side; the mark of a copy is never asked."""
    rule = form["other_side"]
    alike = rule["mark"] in known and known.get(rule["alike"]["path"]) != rule["alike"]["unless"]
    return entry.path == rule["mark"] or bool(alike and entry.question["copied"] and not entry.missing)


def _given(question: Described, choices: tuple[Offered, ...], answers: Answers, form: Described) -> Any:
    """The answer; for a short question that nobody answered, the choice that the answers to other questions amount to."""
    given = answers.get(question["path"])
    if given is None and "follows" in question:
        follows = question["follows"]
        source = answers.get(follows["path"])
        return follows["value"] if isinstance(source, str) and re.search(follows["pattern"], source) else None
    if given is not None or not question.get("short"):
        return given
    opened = next((each.value for each in choices if any(path in answers for path in each.opens)), None)
    if opened is not None:
        return opened
    agreeing = [each for each in choices if _agrees(each, answers)]
    if len(agreeing) == 1:
        return agreeing[0].value
    named = any(path in answers for each in choices for path in each.answers)
    return next((each.value for each in choices if named and each.sent and not each.answers), None)


def _agrees(offered: Offered, answers: Answers) -> bool:
    """Whether some of the questions that this choice answers were answered, and all of those as it does."""
    agreeing = [answers[path] == value for path, value in offered.answers.items() if path in answers]
    return bool(agreeing) and all(agreeing)


def _answered(question: Described, choices: tuple[Offered, ...], given: Any, by_short: Mapping[str, tuple[str, Value]]) -> Shown:
    by, value = by_short.get(question["path"], ("", None))
    if by and (not choices or value in [each.value for each in choices]):
        return Shown(question, choices, value, assumed=value == question.get("default"), hidden=True, by=by)
    answer = given
    if choices and answer not in [each.value for each in choices]:
        answer = None
    possible = [each for each in choices if each.sent]
    sole = question["required"] and len(possible) == 1
    if answer is None and sole:
        answer = possible[0].value
    assumed = answer is None and "default" in question
    return Shown(
        question, choices, question["default"] if assumed else answer, sole, assumed=assumed, hidden=sole and bool(question.get("quiet"))
    )


def _choices(form: Described, question: Described, sent: Answers, known: Answers) -> tuple[Offered, ...]:
    named = {each["value"]: each for each in question.get("choices", ()) if holds(each.get("when", ()), known)}
    if "from" not in question:
        return tuple(_offered(value, each, {}) for value, each in named.items())
    values = _from_tables(form, question, sent, known)
    unsent = [value for value, each in named.items() if not each.get("sent", True)] if values else []
    return tuple(_offered(value, named.get(value, {}), form["sizes"]) for value in (*_in_order(values, tuple(named)), *unsent))


def illustration_of(question: Described, known: Mapping[str, Any]) -> str:
    """The name of the drawing of a question, with the answers in place of the paths in braces; empty if there is none or an answer lacks."""
    pattern = next((str(each["name"]) for each in question.get("illustrations", ()) if holds(each.get("when", ()), dict(known))), "")
    parts = _BRACED.split(pattern)
    values = [known.get(path) for path in parts[1::2]]
    return "" if None in values else "".join(str(each) for pair in zip(parts[::2], [*values, ""], strict=True) for each in pair)


def _in_order(values: tuple[Value, ...], named: tuple[Value, ...]) -> tuple[Value, ...]:
    """The values that the question names, in its order, then the others."""
    return (*(each for each in named if each in values), *(each for each in values if each not in named))


def _offered(value: Value, named: Described, sizes: Mapping[str, str]) -> Offered:
    return Offered(
        value, named.get("label", sizes.get(str(value), str(value))), named.get("help", ""), named.get("illustration", ""), named.get("answers", {}),
        tuple(named.get("opens", ())), named.get("sent", True), tuple(named.get("spot", ())),
    )  # fmt: skip


def _from_tables(form: Described, question: Described, sent: Answers, known: Answers) -> tuple[Value, ...]:
    source = next((each for each in question["from"] if holds(each.get("when", ()), known)), None)
    if source is None:
        return ()
    table = next(each for each in form["tables"] if each["name"] == source["table"])
    places = {name: place for place, name in enumerate(table["columns"])}
    wanted = [
        (places[each["column"]], sent[each["path"]])
        for each in source.get("match", ())
        if each["path"] in sent and holds(each.get("when", ()), known)
    ]
    rows = table["rows"]
    for place, answer in wanted:
        rows = [row for row in rows if answer in row[place]]
    of = places[source["column"]]
    return tuple(dict.fromkeys([value for row in rows for value in row[of]]))


def request_of(form: Described, whole: Answers, assemblies: Iterable[Answers], *, personal: bool = True) -> dict[str, Any]:
    """The quote request that these answers make; for a preview without what is `personal`."""
    request: dict[str, Any] = {"assemblies": []}
    for entry in shown(form, "request", whole):
        if personal or not entry.question["personal"]:
            _put(request, entry)
    for answers in assemblies:
        assembly: dict[str, Any] = {}
        for entry in shown(form, "assembly", answers):
            _put(assembly, entry)
        request["assemblies"].append(assembly)
    return request


def _put(within: Any, entry: Shown) -> None:
    question, answer = entry.question, entry.answer
    if answer is None or entry.assumed or entry.unsent or "pointer" not in question or (question["kind"] == "presence" and answer is False):
        return
    value: Any = {} if question["kind"] == "presence" else answer
    steps = question["pointer"].removeprefix("/").split("/")
    for step, following in zip(steps, [*steps[1:], ""], strict=True):
        empty: Any = value if not following else [] if following.isdigit() else {}
        if isinstance(within, list):
            if int(step) == len(within):
                within.append(empty)
            within = within[int(step)]
        elif not following and value == {}:
            within.setdefault(step, value)  # what is in it already stays
        elif not following:
            within[step] = value
        else:
            within = within.setdefault(step, empty)


def beyond_limits(question: Described, answer: Any) -> bool:
    """Whether an answer is outside its question's `least`, `most` and `pattern`: a count itself, else its number of characters or readings."""
    if "maximum" not in question:
        return False
    if question["kind"] == "count":
        return type(answer) is not int or not question["minimum"] <= answer <= question["maximum"]
    unlike = "pattern" in question and re.fullmatch(question["pattern"], answer) is None
    return unlike or not question["minimum"] <= len(answer) <= question["maximum"]


def wrong_words(question: Described, answer: Any) -> str:
    """What to say of an answer beyond its limits: the words of the first of `wrongs` whose pattern matches the whole of it, else `wrong`."""
    matching = (wrong["words"] for wrong in question.get("wrongs", ()) if re.fullmatch(wrong["pattern"], str(answer)))
    return str(next(matching, question["wrong"]))


def question_at(asked: Iterable[Shown], pointer: str) -> str | None:
    """The path of the question that a place in the request belongs to; None for the whole request or assembly.

    That is the question at this very place, else the first unanswered length below it, else the first question below it, else the nearest one
    above. A question of kind `presence` counts only if there is no other. A hidden question answered by a short one stands for the short one;
    other hidden questions do not count.
    """
    if not pointer:
        return None
    entries = tuple(entry for entry in asked if "pointer" in entry.question and (entry.by or not entry.hidden))
    below = [entry for entry in entries if _within(entry.question["pointer"], pointer)]
    values = [entry for entry in below if entry.question["kind"] != "presence"]
    exact = [entry for entry in values if entry.question["pointer"] == pointer]
    open_lengths = [entry for entry in values if entry.answer is None and entry.question["kind"] == "length"]
    above = [entry for entry in entries if _within(pointer, entry.question["pointer"])]
    nearest = sorted(above, key=lambda entry: -len(entry.question["pointer"]))
    return next((group[0].by or group[0].path for group in (exact, open_lengths, values, nearest) if group), None)


def on_other_side(form: Described, answers: Answers) -> Answers:
    """The answers that the same wire on the boat's other side starts with; settings and readings are asked again."""
    rule, copied = form["other_side"], {question["path"] for question in form["questions"] if question["copied"]}
    mirrored = {path: answer for path, answer in answers.items() if path in copied}
    for side in rule["sides"]:
        if answers.get(side["path"]) in side["values"]:
            mirrored[side["path"]] = side["values"][answers[side["path"]]]
    tag = str(answers.get(rule["tag"]["path"], ""))
    ending = rule["tag"]["endings"].get(tag[-1:])
    if ending and not tag[-2:-1].isalnum():
        mirrored[rule["tag"]["path"]] = tag[:-1] + ending
    return {**mirrored, rule["mark"]: True}


def _within(inner: str, outer: str) -> bool:
    return inner == outer or inner.startswith(f"{outer}/")
