"""The choices of a column: those offered by the tables in force, labelled in one language and understood in all of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from service.encoding.languages import LANGUAGES
from service.measuring_sheet.columns import Asked
from service.web_form.asking import JOINED, Question, Value
from service.web_form.questions import QUESTIONS
from service.wording import translator

_FRACTION = re.compile("(?<=[0-9])(?=[¼-¾⅐-⅞])")  # so that `1⅜` is read as 1 3/8, not as 13/8 as plain decomposition would
_HEAD = re.compile(r"[(:,]")


class Offer(NamedTuple):
    """A value for the request, and its label."""

    value: Value
    label: str


def offers(asked: Asked, form: Mapping[str, Any]) -> tuple[Offer, ...]:
    """The choices of a column, regardless of the other columns; empty if it is free text. `form`: a description in its language."""
    question = asked.question
    if question is None:
        return ()
    if question.short:
        return _of_short(question, form)
    say = translator(form["language"])
    labels = {choice.value: say(choice.label) for choice in question.choices}
    values = dict.fromkeys(value for source in question.offered for value in _column(form, source.table, source.column)) or labels
    return tuple(Offer(value, labels.get(value, str(value))) for value in values)


def _of_short(question: Question, form: Mapping[str, Any]) -> tuple[Offer, ...]:
    """The choices as the form has them; of two that are called alike, and answer alike, the first."""
    described = next(each for each in form["questions"] if each["path"] == question.path)
    found: dict[str, Offer] = {}
    for each in described["choices"]:
        found.setdefault(each["label"], Offer(each["value"], each["label"]))
    return tuple(found.values())


def _column(form: Mapping[str, Any], name: str, column: str) -> Iterator[Value]:
    table = next(each for each in form["tables"] if each["name"] == name)
    place = table["columns"].index(column)
    for row in table["rows"]:
        yield from row[place]


def words_of(question: Question, values: tuple[Value, ...]) -> dict[str, Value]:
    """Every way to write one of these values, normalised by `normal`: as in the request, and by its label in each language, whole or
    up to the first bracket, colon or comma if that is unambiguous.
    """
    found: dict[str, Value] = {}
    heads: dict[str, set[Value]] = {}
    labels = {choice.value: choice.label for choice in question.choices}
    for value in values:
        found.setdefault(normal(str(value)), value)
        for language in LANGUAGES if value in labels else ():
            label = translator(language)(labels[value])
            found.setdefault(normal(label), value)
            heads.setdefault(normal(_HEAD.split(label)[0]), set()).add(value)
    for value in values if question.joined else ():
        for language in LANGUAGES:
            found.setdefault(normal(_joined(question, str(value), language)), value)
    return {**{head: next(iter(meant)) for head, meant in heads.items() if len(meant) == 1}, **found}


def _joined(question: Question, value: str, language: str) -> str:
    """The label of a choice that answers several questions at once: those of its parts."""
    say = translator(language)
    labels: dict[str, dict[Value, str]] = {
        path: next(({one.value: one.label for one in each.choices} for each in QUESTIONS if each.path == path), {})
        for path in question.joined
    }
    return ", ".join(say(labels[path].get(part, part)) for path, part in zip(question.joined, value.split(JOINED), strict=False))


def normal(text: str) -> str:
    """Text without what does not distinguish choices: case, spaces around it and before a unit, `_` for a space, the way fractions are
    typed.
    """
    text = unicodedata.normalize("NFKC", _FRACTION.sub(" ", text.strip().removeprefix("'"))).replace("⁄", "/").replace("_", " ").casefold()
    return re.sub(r"(?<=[0-9])\s+(?=[a-z])", "", " ".join(text.split()))
