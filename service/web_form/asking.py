"""The building blocks of the form's questions, and the conditions under which they are asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

Value = str | bool
Condition = dict[str, object]
When = tuple[tuple[Condition, ...], ...]  # alternatives, each of which requires all of its conditions; empty: always
ALWAYS: When = ()
JOINED = " | "  # between the parts of a choice that answers several questions at once
UNKNOWN = "unknown"  # the value of a choice that is not sent
MEASURED = "measured"  # another one: it is to be found by caliper
HAND_UNKNOWN = "hand unknown"  # another one: the size of the thread is known, but not its hand


def N_(text: str) -> str:  # noqa: N802  # gettext's name for a text that is translated later
    """Mark a text for translation."""
    return text


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: the value in the request, its label, and a help text.

    `answers`: of a short question, what else it answers, by path. `opens`: paths of what is asked only after this answer. `sent`: whether
    the value is one for the request; "I do not know" is none, and narrows no choices.
    """

    value: Value
    label: str
    help: str = ""
    when: When = ALWAYS
    illustration: str = ""
    answers: tuple[tuple[str, Value], ...] = ()
    opens: tuple[str, ...] = ()
    sent: bool = True


@dataclass(frozen=True, slots=True)
class Match:
    """A table column that must contain the answer to `path`, if there is one, under a condition."""

    column: str
    path: str
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class From:
    """Choices taken from a column of one of the description's tables."""

    table: str
    column: str
    match: tuple[Match, ...] = ()
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing's name, with paths in braces for the answers there, under a condition."""

    name: str
    when: When = ALWAYS


@dataclass(frozen=True, slots=True)
class Wording:
    """What a question says in place of its label and help, under a condition."""

    when: When
    label: str
    help: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """One question. `path` names the request's field as in the columns of a measuring sheet. `copied`: the same on the other side of
    the boat.

    `together`: if that path is answered, this question needs an answer too. `lacking`: the message if a needed answer is missing.
    `required_when`: it is required under this condition; empty: never, beyond `required`. `personal`: identifies the customer; the price does not depend on it. `short`: no field of the request, but answers others by its
    choices, or opens them. `joined`: of a short question, the paths that the parts of its choices answer (see `JOINED`). `quiet`: not shown
    where only one answer is possible. `follows`: a path whose answer, matching a pattern, gives this answer.
    """

    path: str
    section: str
    kind: str
    label: str
    help: str = ""
    required: bool = False
    required_when: When = ()
    default: Value | None = None
    choices: tuple[Choice, ...] = ()
    offered: tuple[From, ...] = ()  # the first one whose condition holds
    when: When = ALWAYS
    pictures: tuple[Picture, ...] = ()  # the first one whose condition holds
    examples: tuple[str, ...] = ()
    zero: bool = False
    copied: bool = True
    together: str = ""
    lacking: str = ""
    personal: bool = False
    short: bool = False
    joined: tuple[str, ...] = ()
    quiet: bool = False
    follows: tuple[str, str, Value] | None = None
    wordings: tuple[Wording, ...] = ()


def is_(path: str, *values: Value) -> When:
    """The answer is one of these values."""
    return (({"path": path, "in": list(values)},),)


def is_not(path: str, *values: Value) -> When:
    """The answer is none of these values, or there is no answer."""
    return (({"path": path, "not_in": list(values)},),)


def answered(path: str) -> When:
    """There is an answer."""
    return (({"path": path, "answered": True},),)


def unanswered(path: str) -> When:
    """There is no answer."""
    return (({"path": path, "answered": False},),)


def both(*parts: When) -> When:
    """All of these hold."""
    kept = [part for part in parts if part != ALWAYS]
    return tuple(tuple(each for all_of in chosen for each in all_of) for chosen in product(*kept)) if kept else ALWAYS


def either(*parts: When) -> When:
    """At least one of these holds."""
    return ALWAYS if ALWAYS in parts else tuple(all_of for part in parts for all_of in part)


def holds(when: When | Iterable[Iterable[Condition]], answers: dict[str, Value]) -> bool:
    """Whether the condition holds for these answers, given by path."""
    always = True
    for all_of in when:
        always = False
        if all(_holds(each, answers) for each in all_of):
            return True
    return always


def _holds(condition: Condition, answers: dict[str, Value]) -> bool:
    found = answers.get(str(condition["path"]))
    if "answered" in condition:
        return (found is not None) is condition["answered"]
    values = condition["in"] if "in" in condition else condition["not_in"]
    assert isinstance(values, list)  # noqa: S101  # `is_` and `is_not` make no others
    return (found in values) is ("in" in condition)
