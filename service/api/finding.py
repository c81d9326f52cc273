"""The parameters by which quotes are found, and the cursor, which belongs to what was sought."""

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
from service.storage.finding import Position
from service.storage.search_words import words_of
from service.storage.sought import ANY, Sort, Sought, Waiting, Word

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


class Asked(NamedTuple):
    """What was asked for: how many at most, what, and after which position. `words` are the parameters as sent, but for the cursor."""

    limit: int
    sought: Sought
    after: Position | None
    words: dict[str, str]


def asked_for(arguments: Mapping[str, str]) -> Asked:
    """What the query asks for. Raises Problem (422) listing every wrong parameter."""
    return _Reader(arguments).asked()


def following(asked: Asked, position: Position | None) -> tuple[str | None, dict[str, str]]:
    """The cursor of the next page, and the header that leads there; None and nothing where there is none."""
    if position is None:
        return None, {}
    cursor = base64.urlsafe_b64encode(_CURSOR.pack(_mark(asked.sought), *position)).decode().rstrip("=")
    query = urlencode({**asked.words, "limit": asked.limit, "cursor": cursor})
    return cursor, {"Link": f'</v1/quotes?{query}>; rel="next"'}


def _mark(sought: Sought) -> bytes:
    """What a cursor tells one search from another by."""
    return hashlib.sha256(repr(sought).encode()).digest()[:6]


class _Reader:
    """Reads the parameters and gathers what is wrong with them."""

    def __init__(self, arguments: Mapping[str, str]) -> None:
        self._arguments = arguments
        self.faults: list[Fault] = []

    def asked(self) -> Asked:
        self._refuse_unknown()
        limit = self._limit()
        sought = Sought(
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
        if sought.first is not None and sought.last is not None and sought.first > sought.last:
            self._refuse("issued_to", "wrong_order", "the last day is before the first: swap issued_from and issued_to")
        whole = None if self.faults else sought  # of a search with faults nobody knows whether the cursor belongs to it
        after = self._read("cursor", lambda text: _position(text, whole))
        if self.faults:
            raise Problem(422, "The list cannot be returned as requested; each fault is listed.", self.faults)
        return Asked(limit, sought, after, {name: self._arguments[name] for name in PARAMETERS[:-2] if name in self._arguments})

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
        """The parameter's value; None if it is left out, or cannot be read."""
        if name not in self._arguments:
            return None
        try:
            return read(self._arguments[name])
        except _Wrong as wrong:
            self._refuse(name, *wrong.args)
            return None


class _Wrong(Exception):
    """A value that cannot be read: its code, and what to do."""


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
        if _DAY.fullmatch(text):  # not a week's, which has as many characters
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


def _position(text: str, sought: Sought | None) -> Position | None:
    try:
        mark, value, place = _CURSOR.unpack(base64.b64decode(text + "==", altchars=b"-_", validate=True))
    except (ValueError, binascii.Error, struct.error):
        raise _Wrong("unknown_cursor", "send the `next` of the previous page, or leave the cursor out for the first page") from None
    if sought is None:
        return None
    if mark != _mark(sought):
        words = "this cursor belongs to a search with other filters or another order: repeat those, or leave the cursor out for the first page"
        raise _Wrong("cursor_of_another_list", words)
    if sought.sort is Sort.VALID_UNTIL and not 1 <= value <= date.max.toordinal():
        raise _Wrong("unknown_cursor", "send the `next` of the previous page, or leave the cursor out for the first page")
    return Position(value, place)
