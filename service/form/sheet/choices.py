"""The choices of a column: what the tables in force offer, called by the words of a language, and understood in all of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from service.form.asking import Question, Value
from service.form.sheet.columns import Asked
from service.form.speech import LANGUAGES, translator

_FRACTION = re.compile("(?<=[0-9])(?=[¼-¾⅐-⅞])")  # `1⅜` is 1 3/8, and not 13/8 as plain decomposition makes it
_HEAD = re.compile(r"[(:,]")


class Offer(NamedTuple):
    """A value of the request and what it is called."""

    value: Value
    label: str


def offers(asked: Asked, form: Mapping[str, Any]) -> tuple[Offer, ...]:
    """What a column offers, whatever stands in the others; nothing where anything may be written. `form`: a description in its language."""
    question = asked.question
    if question is None:
        return ()
    say = translator(form["language"])
    labels = {choice.value: say(choice.label) for choice in question.choices}
    values = dict.fromkeys(value for source in question.offered for value in _column(form, source.table, source.column)) or labels
    return tuple(Offer(value, labels.get(value, str(value))) for value in values)


def _column(form: Mapping[str, Any], name: str, column: str) -> Iterator[Value]:
    table = next(each for each in form["tables"] if each["name"] == name)
    place = table["columns"].index(column)
    for row in table["rows"]:
        yield from row[place]


def words_of(question: Question, values: tuple[Value, ...]) -> dict[str, Value]:
    """Every way to write one of these values, as `normal` leaves it: as the request has it, and by its label in each language, whole or up
    to its first bracket, colon or comma where that tells it apart."""
    found: dict[str, Value] = {}
    heads: dict[str, set[Value]] = {}
    labels = {choice.value: choice.label for choice in question.choices}
    for value in values:
        found.setdefault(normal(str(value)), value)
        for language in LANGUAGES if value in labels else ():
            label = translator(language)(labels[value])
            found.setdefault(normal(label), value)
            heads.setdefault(normal(_HEAD.split(label)[0]), set()).add(value)
    return {**{head: next(iter(meant)) for head, meant in heads.items() if len(meant) == 1}, **found}


def normal(text: str) -> str:
    """Text without what does not tell one choice from another: case, blanks around and before a unit, `_` for a blank, how a fraction is typed."""
    text = unicodedata.normalize("NFKC", _FRACTION.sub(" ", text.strip().removeprefix("'"))).replace("⁄", "/").replace("_", " ").casefold()
    return re.sub(r"(?<=[0-9])\s+(?=[a-z])", "", " ".join(text.split()))
