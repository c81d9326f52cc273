"""The filters of a quote search, translated in two ways: into ranges of index terms, and into SQL conditions on an entry."""

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
ANY = ""  # instead of a field's letter: number, customer, boat, e-mail, reference or one of the shop's own ids
_FIELDS = "cbmrnxy"
_LEAST, _HIGHEST = "\x01", "\U0010ffff"


class Waiting(StrEnum):
    """Why a quote needs the shop's attention."""

    OPEN_ASKS = "open_asks"
    QUESTIONS = "questions"
    TO_CUT = "to_cut"
    EXPIRING = "expiring"
    FAILED_AS_BUILT = "failed_as_built"


class Sort(StrEnum):
    """The order of the results: newest first; by last day of validity, earliest first; or by amount payable, highest first."""

    NEWEST = "newest"
    VALID_UNTIL = "valid_until"
    PAYABLE = "payable"


class Word(NamedTuple):
    """A word prefix to search for, folded, and the letter of the field to search, or ANY."""

    text: str
    field: str = ANY


@dataclass(frozen=True, slots=True)
class QuoteFilters:
    """The filters of a search; a quote must pass all of them. `number`, `email` and `key` match exactly; `first` and `last` are days of issue,
    both inclusive.
    """

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
    """A range of index terms, from `low` up to but not including `high`."""

    low: str
    high: str


Spans = tuple[Span, ...]


def _exactly(term: str) -> Span:
    return Span(term, f"{term}{_LEAST}")  # terms contain no control characters, so this range contains only `term`


def _beginning(term: str) -> Span:
    return Span(term, term + _HIGHEST)


def spans_of(filters: QuoteFilters, today: date) -> list[Spans]:
    """For each filter, the ranges of terms that satisfy it: an entry must have a term in at least one of them."""
    found = [tuple([_beginning(f"{each}:{word.text[:LONGEST]}") for each in word.field or _FIELDS]) for word in filters.words]
    if filters.number is not None:
        found.append((_exactly(f"{NUMBER}:{words_of(filters.number)[-1][:LONGEST]}"),))
    if filters.email is not None:
        found.append((_exactly(mail_term(folded(filters.email))),))
    if filters.key is not None:
        found.append((_exactly(key_term(filters.key)),))
    if filters.status is not None:
        found.append(_of_status(filters.status, today))
    if filters.waiting is not None:
        found.append(_of_waiting(filters.waiting, today))
    return found


def _of_status(status: Status, today: date) -> Spans:
    day = today.isoformat()
    if status is Status.ISSUED:
        return (Span(f"day:{day}", "day;"),)
    if status is Status.EXPIRED:  # past years, past months of this year, past days of this month: a few ranges cover many days
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
    return (Span(f"{name}:{today.isoformat()}", f"{name};"),)  # open quotes that are still valid; IN_WORK sorts after every day


def _soon(today: date) -> str:
    return (today + timedelta(days=EXPIRING_DAYS)).isoformat()


def conditions_of(filters: QuoteFilters, today: date) -> list[ColumnElement[bool]]:
    """The same filters as SQL conditions on an entry."""
    found = [_has(each) for each in filters.words]
    found += [
        entries.c[name] == value
        for name, value in (("number", filters.number), ("key", filters.key), ("email", filters.email and folded(filters.email)))
        if value is not None
    ]
    if filters.status is not None:
        found.append(_is(filters.status, today))
    if filters.waiting is not None:
        found.append(_waits(filters.waiting, today))
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


def places_of(filters: QuoteFilters) -> tuple[int, int]:
    """The range of places that the days of issue allow: its first place, and the first place after it."""
    least = 0 if filters.first is None else first_place(filters.first.isoformat())
    if filters.last is None or filters.last == date.max:
        return least, BEYOND
    return least, first_place((filters.last + timedelta(days=1)).isoformat())


def days_of(filters: QuoteFilters, today: date) -> Iterator[tuple[str, str]]:
    """Bounds on the last day of validity that follow from the filters: pairs of an operator, `>=` or `<=`, and a day (ISO)."""
    if filters.status is Status.ISSUED or filters.waiting is Waiting.EXPIRING:
        yield ">=", today.isoformat()
    if filters.status is Status.EXPIRED:
        yield "<=", (today - timedelta(days=1)).isoformat()
    if filters.waiting is Waiting.EXPIRING:
        yield "<=", _soon(today)
