"""What is sought among the quotes: the lists of terms that lead there, and the same as conditions on an entry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple

from sqlalchemy import ColumnElement, and_, or_

from service.lifecycle.statuses import Status
from service.storage.entries import BEYOND, IN_WORK, NUMBER, TAG, first_place, key_term, mail_term
from service.storage.search_words import LONGEST, folded, words_of
from service.storage.tables import quote_entries as entries

EXPIRING_DAYS = 7
ANY = ""  # in place of a field's letter: number, customer, boat, e-mail, reference and the shop's own numbers
_FIELDS = "cbmrnxy"
_LEAST, _HIGHEST = "\x01", "\U0010ffff"


class Waiting(StrEnum):
    """What waits for the shop."""

    OPEN_ASKS = "open_asks"
    QUESTIONS = "questions"
    TO_CUT = "to_cut"
    EXPIRING = "expiring"
    FAILED_AS_BUILT = "failed_as_built"


class Sort(StrEnum):
    """The order of quotes: newest first, by last day of validity with the earliest first, or by what is to be paid with the most first."""

    NEWEST = "newest"
    VALID_UNTIL = "valid_until"
    PAYABLE = "payable"


class Word(NamedTuple):
    """The beginning of a word, folded, and the letter of the field that has it, or ANY."""

    text: str
    field: str = ANY


@dataclass(frozen=True, slots=True)
class Sought:
    """What to find: all of it must hold. `number`, `email` and `key` are whole; `first` and `last` days of issue, both inclusive."""

    words: tuple[Word, ...] = ()
    number: str | None = None
    email: str | None = None
    key: str | None = None
    status: Status | None = None
    waiting: Waiting | None = None
    first: date | None = None
    last: date | None = None
    sort: Sort = Sort.NEWEST


class Span(NamedTuple):
    """Terms from `low` up to, but not including, `high`."""

    low: str
    high: str


Spans = tuple[Span, ...]


def _exactly(term: str) -> Span:
    return Span(term, f"{term}{_LEAST}")  # a term has no control character, so nothing lies between


def _beginning(term: str) -> Span:
    return Span(term, term + _HIGHEST)


def spans_of(sought: Sought, today: date) -> list[Spans]:
    """For each thing that is sought, the terms one of which an entry must have."""
    found = [tuple([_beginning(f"{each}:{word.text[:LONGEST]}") for each in word.field or _FIELDS]) for word in sought.words]
    if sought.number is not None:
        found.append((_exactly(f"{NUMBER}:{words_of(sought.number)[-1][:LONGEST]}"),))
    if sought.email is not None:
        found.append((_exactly(mail_term(folded(sought.email))),))
    if sought.key is not None:
        found.append((_exactly(key_term(sought.key)),))
    if sought.status is not None:
        found.append(_of_status(sought.status, today))
    if sought.waiting is not None:
        found.append(_of_waiting(sought.waiting, today))
    return found


def _of_status(status: Status, today: date) -> Spans:
    day = today.isoformat()
    if status is Status.ISSUED:
        return (Span(f"day:{day}", "day;"),)
    if status is Status.EXPIRED:  # years that are over, months of this one, days of this month: few lists for many days
        return Span("year:", f"year:{day[:4]}"), Span(f"month:{day[:4]}", f"month:{day[:7]}"), Span(f"day:{day[:7]}", f"day:{day}")
    return (_exactly(f"status:{status}"),)


def _of_waiting(waiting: Waiting, today: date) -> Spans:
    if waiting is Waiting.EXPIRING:
        return (Span(f"day:{today.isoformat()}", f"day:{_soon(today)}{_LEAST}"),)
    if waiting is Waiting.TO_CUT:
        return (_exactly(f"uncut:{IN_WORK}"),)
    if waiting is Waiting.FAILED_AS_BUILT:
        return (_exactly(f"failed:{IN_WORK}"),)
    name = "asks" if waiting is Waiting.OPEN_ASKS else "questions"
    return (Span(f"{name}:{today.isoformat()}", f"{name};"),)  # the days from today on, and what is worked on after them


def _soon(today: date) -> str:
    return (today + timedelta(days=EXPIRING_DAYS)).isoformat()


def conditions_of(sought: Sought, today: date) -> list[ColumnElement[bool]]:
    """What holds of an entry that is sought."""
    found = [_has(each) for each in sought.words]
    found += [
        entries.c[name] == value
        for name, value in (("number", sought.number), ("key", sought.key), ("email", sought.email and folded(sought.email)))
        if value is not None
    ]
    if sought.status is not None:
        found.append(_is(sought.status, today))
    if sought.waiting is not None:
        found.append(_waits(sought.waiting, today))
    return found


def _has(word: Word) -> ColumnElement[bool]:
    if word.field == TAG:
        return entries.c.tags.like(f"% {word.text}%")
    return entries.c.words.like(f"%{word.field}:{word.text}%")  # words are letters and digits alone: nothing to escape


def _is(status: Status, today: date) -> ColumnElement[bool]:
    if status is Status.EXPIRED:
        return and_(entries.c.status == Status.ISSUED.value, entries.c.valid_until < today.isoformat())
    stored = entries.c.status == status.value
    return and_(stored, entries.c.valid_until >= today.isoformat()) if status is Status.ISSUED else stored


def _waits(waiting: Waiting, today: date) -> ColumnElement[bool]:
    valid = _is(Status.ISSUED, today)
    if waiting is Waiting.EXPIRING:
        return and_(valid, entries.c.valid_until <= _soon(today))
    worked_on = [Status.ACCEPTED.value, Status.IN_WORK.value]
    if waiting is Waiting.TO_CUT:
        return and_(entries.c.uncut == 1, entries.c.status.in_(worked_on))
    if waiting is Waiting.FAILED_AS_BUILT:
        return and_(entries.c.failed == 1, entries.c.status.in_(worked_on))
    if waiting is Waiting.OPEN_ASKS:
        return and_(entries.c.asks == 1, or_(valid, entries.c.status.in_(worked_on)))
    return and_(entries.c.questions == 1, or_(valid, entries.c.status.in_([*worked_on, Status.BUILT.value])))


def places_of(sought: Sought) -> tuple[int, int]:
    """The first place of the days sought, and the first that is no longer one of them."""
    least = 0 if sought.first is None else first_place(sought.first.isoformat())
    if sought.last is None or sought.last == date.max:
        return least, BEYOND
    return least, first_place((sought.last + timedelta(days=1)).isoformat())


def days_of(sought: Sought, today: date) -> Iterator[tuple[str, str]]:
    """Bounds on the last day of validity that follow from what is sought: pairs of an operator, `>=` or `<=`, and a day (ISO)."""
    if sought.status is Status.ISSUED or sought.waiting is Waiting.EXPIRING:
        yield ">=", today.isoformat()
    if sought.status is Status.EXPIRED:
        yield "<=", (today - timedelta(days=1)).isoformat()
    if sought.waiting is Waiting.EXPIRING:
        yield "<=", _soon(today)
