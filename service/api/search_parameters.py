"""Reads the query parameters of `GET /v1/quotes`: filters, sort order and limit; and the cursor, which is valid only for the search it came
from.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
import struct
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar
from urllib.parse import urlencode

from service.http.pagination import MOST, USUAL
from service.http.parameters import meant
from service.http.problems import Fault, Problem, parameter_fault
from service.lifecycle.statuses import Status
from service.storage.entries import BOAT, CUSTOMER, OWN_BOAT, OWN_CUSTOMER, REFERENCE, TAG
from service.storage.quote_filters import ANY, QuoteFilters, Sort, Waiting, Word
from service.storage.quote_search import Position
from service.storage.search_words import words_of

LONGEST_TEXT, LONGEST_MAIL, LONGEST_KEY = 120, 254, 80
MOST_WORDS = 12
_FIELDS = {
    "q": ANY, "customer": CUSTOMER, "boat": BOAT, "reference": REFERENCE, "tag": TAG, "customer_external_id": OWN_CUSTOMER, "boat_external_id": OWN_BOAT,
}  # fmt: skip
_NUMBER = re.compile(r"Q-[0-9]{4}-[0-9]{6,12}", re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_CURSOR = struct.Struct(">6sqq")
PARAMETERS = (
    "q", "number", "status", "waiting", "customer", "email", "boat", "reference", "tag", "customer_external_id", "boat_external_id", "key",
    "issued_from", "issued_to", "sort", "limit", "cursor",
)  # fmt: skip
Choice = TypeVar("Choice", bound=StrEnum)


class SearchRequest(NamedTuple):
    """A search as requested: at most `limit` quotes that pass `filters`, after the position of the cursor. `parameters`: the query
    parameters as sent, without limit and cursor.
    """

    limit: int
    filters: QuoteFilters
    after: Position | None
    parameters: dict[str, str]


def read_search(arguments: Mapping[str, str]) -> SearchRequest:
    """Parse the query parameters. Raises Problem (422) listing every parameter that is not valid."""
    return _Reader(arguments).read()


def following(search: SearchRequest, position: Position | None) -> tuple[str | None, dict[str, str]]:
    """The cursor of the next page and the Link header to it; None and no header on the last page."""
    if position is None:
        return None, {}
    cursor = base64.urlsafe_b64encode(_CURSOR.pack(_mark(search.filters), *position)).decode().rstrip("=")
    query = urlencode({**search.parameters, "limit": search.limit, "cursor": cursor})
    return cursor, {"Link": f'</v1/quotes?{query}>; rel="next"'}


def _mark(filters: QuoteFilters) -> bytes:
    """A short digest of the filters: a cursor contains it, so that it cannot be used with another search."""
    return hashlib.sha256(repr(filters).encode()).digest()[:6]


class _Reader:
    """Reads the parameters and collects a fault for each one that is not valid."""

    def __init__(self, arguments: Mapping[str, str]) -> None:
        self._arguments = arguments
        self.faults: list[Fault] = []

    def read(self) -> SearchRequest:
        self._refuse_unknown()
        limit = self._limit()
        filters = QuoteFilters(
            words=tuple(self._words()),
            number=self._read("number", _number),
            email=self._read("email", _text(LONGEST_MAIL)),
            key=self._read("key", _text(LONGEST_KEY)),
            status=self._read("status", _one_of(Status)),
            waiting=self._read("waiting", _one_of(Waiting)),
            first=self._read("issued_from", _day),
            last=self._read("issued_to", _day),
            sort=self._read("sort", _one_of(Sort)) or Sort.NEWEST,
        )
        if filters.first is not None and filters.last is not None and filters.first > filters.last:
            self._refuse("issued_to", "wrong_order", "the last day is before the first: swap issued_from and issued_to")
        valid = None if self.faults else filters  # the cursor can be checked only against filters without faults
        after = self._read("cursor", lambda text: _position(text, valid))
        if self.faults:
            raise Problem(422, "The list cannot be returned as requested; each fault is listed.", self.faults)
        return SearchRequest(limit, filters, after, {name: self._arguments[name] for name in PARAMETERS[:-2] if name in self._arguments})

    def _refuse(self, name: str, code: str, words: str) -> None:
        self.faults.append(parameter_fault(name, code, words))

    def _refuse_unknown(self) -> None:
        for name in self._arguments:
            if name not in PARAMETERS:
                self._refuse(name, "unknown_parameter", f"{meant(name, PARAMETERS)}accepted here: {', '.join(PARAMETERS)}")

    def _limit(self) -> int:
        limit = self._arguments.get("limit", str(USUAL))
        if limit.isascii() and limit.isdigit() and len(limit) < 4 and 1 <= int(limit) <= MOST:
            return int(limit)
        self._refuse("limit", "not_a_count", f"write a whole number from 1 to {MOST}")
        return USUAL

    def _words(self) -> Iterator[Word]:
        many = 0
        for name, letter in _FIELDS.items():
            text = self._read(name, _text(LONGEST_TEXT))
            if text is None:
                continue
            found = words_of(text)
            many += len(found)
            if not found:
                self._refuse(name, "no_word", "write at least one letter or digit, or leave it out")
            yield from (Word(each, letter) for each in found)
        if many > MOST_WORDS:
            names = [name for name in _FIELDS if name in self._arguments]
            for name in names:
                self._refuse(name, "too_many_words", f"{', '.join(names)} together have {many} words: search for at most {MOST_WORDS}")

    def _read(self, name: str, read: Callable[[str], Any]) -> Any:
        """The parameter's value; None if it is missing, or not valid (which adds a fault)."""
        if name not in self._arguments:
            return None
        try:
            return read(self._arguments[name])
        except _Wrong as wrong:
            self._refuse(name, *wrong.args)
            return None


class _Wrong(Exception):
    """A parameter value that is not valid: the fault's code, and the remedy."""


def _text(most: int) -> Callable[[str], str]:
    def read(text: str) -> str:
        if not text.strip() or len(text) > most:
            raise _Wrong("length", f"write 1 to {most} characters, not only spaces, or leave it out; these are {len(text)}")
        if any(each < " " or each == "\x7f" or "\ud800" <= each <= "\udfff" for each in text):
            raise _Wrong("not_text", "leave out control characters")
        return text.strip()

    return read


def _number(text: str) -> str:
    if not _NUMBER.fullmatch(text.upper()):
        raise _Wrong("not_a_number", "write the complete number of a quote, such as Q-2026-000042; to search by its beginning, use q")
    return text.upper()


def _day(text: str) -> date:
    try:
        if _DAY.fullmatch(text):  # `fromisoformat` also accepts week dates, such as 2026-W48-3
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise _Wrong("not_a_day", "write a calendar date as YYYY-MM-DD, such as 2026-11-25")


def _one_of(choices: type[Choice]) -> Callable[[str], Choice]:
    def read(text: str) -> Choice:
        if text not in [*choices]:
            raise _Wrong("unknown_choice", f"give {' or '.join(choices)}, or leave it out")
        return choices(text)

    return read


def _position(text: str, filters: QuoteFilters | None) -> Position | None:
    try:
        mark, value, place = _CURSOR.unpack(base64.b64decode(text + "==", altchars=b"-_", validate=True))
    except (ValueError, binascii.Error, struct.error):
        raise _Wrong("unknown_cursor", "send the `next` of the previous page, or leave the cursor out for the first page") from None
    if filters is None:
        return None
    if mark != _mark(filters):
        words = (
            "this cursor belongs to a search with other filters or another order: repeat those, or leave the cursor out for the first page"
        )
        raise _Wrong("cursor_of_another_list", words)
    if filters.sort is Sort.VALID_UNTIL and not 1 <= value <= date.max.toordinal():
        raise _Wrong("unknown_cursor", "send the `next` of the previous page, or leave the cursor out for the first page")
    return Position(value, place)
