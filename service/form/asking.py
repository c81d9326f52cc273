"""What a question of the form is made of, and the conditions under which it is asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

Value = str | bool
Condition = dict[str, object]
When = tuple[tuple[Condition, ...], ...]  # any of these, all of each; none at all: always
ALWAYS: When = ()


def N_(text: str) -> str:  # noqa: N802  # gettext's name for a text that is translated later
    """Mark a text for the catalogue of messages."""
    return text


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: the request's value, what it is called, and more about it."""

    value: Value
    label: str
    help: str = ""
    when: When = ALWAYS
    illustration: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """A column of a table that must hold the answer to `path`, where there is one, under a condition."""

    column: str
    path: str
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class From:
    """Choices that come from a column of one of the description's tables."""

    table: str
    column: str
    match: tuple[Match, ...] = ()
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class Question:
    """One question. `path` names the request's field as the columns of a measuring sheet do. `copied`: the same on the boat's other side.

    `together`: where that path is answered this question wants an answer, too. `lacking`: what to say where one is wanted and missing.
    """

    path: str
    section: str
    kind: str
    label: str
    help: str = ""
    required: bool = False
    default: Value | None = None
    choices: tuple[Choice, ...] = ()
    offered: tuple[From, ...] = ()  # the first whose condition holds
    when: When = ALWAYS
    illustration: str = ""
    examples: tuple[str, ...] = ()
    zero: bool = False
    copied: bool = True
    together: str = ""
    lacking: str = ""


def is_(path: str, *values: Value) -> When:
    """The answer is one of these."""
    return (({"path": path, "in": list(values)},),)


def is_not(path: str, *values: Value) -> When:
    """The answer is none of these, or there is none."""
    return (({"path": path, "not_in": list(values)},),)


def answered(path: str) -> When:
    """There is an answer."""
    return (({"path": path, "answered": True},),)


def unanswered(path: str) -> When:
    """There is none."""
    return (({"path": path, "answered": False},),)


def both(*parts: When) -> When:
    """Every one of these."""
    kept = [part for part in parts if part != ALWAYS]
    return tuple(tuple(each for all_of in chosen for each in all_of) for chosen in product(*kept)) if kept else ALWAYS


def either(*parts: When) -> When:
    """At least one of these."""
    return ALWAYS if ALWAYS in parts else tuple(all_of for part in parts for all_of in part)


def holds(when: When | Iterable[Iterable[Condition]], answers: dict[str, Value]) -> bool:
    """Whether the condition holds for these answers, by path."""
    alternatives = [list(each) for each in when]
    return not alternatives or any(all(_holds(each, answers) for each in all_of) for all_of in alternatives)


def _holds(condition: Condition, answers: dict[str, Value]) -> bool:
    found = answers.get(str(condition["path"]))
    if "answered" in condition:
        return (found is not None) is condition["answered"]
    values = condition["in"] if "in" in condition else condition["not_in"]
    assert isinstance(values, list)  # noqa: S101  # `is_` and `is_not` make no others
    return (found in values) is ("in" in condition)
