"""The field types of a request. Each reads one JSON value with `read`, strictly, or refuses it with a code and the remedy."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple, TypeVar
from urllib.parse import unquote

from marshmallow import fields
from marshmallow.types import ErrorMessages

from pricing.errors import QuantityError
from pricing.nearest import nearest
from pricing.units import UNIT_OF, length
from service.schemas.failure import Failure, refusal

T = TypeVar("T")
LEAST_MM, MOST_MM = Decimal("0.01"), Decimal(1_000_000)
LEAST, MOST = Decimal("0.0001"), Decimal(10_000_000)
MESSAGES: ErrorMessages = {
    "required": Failure("required", "this field is required"),
    "null": Failure("null", "leave the field out instead of sending null"),
}


class Read(fields.Field[T], ABC):
    """Base class: `read` is the whole rule, used both by marshmallow and by the compiled path."""

    default_error_messages = MESSAGES

    def quick(self) -> Callable[[Any], T]:
        """For the compiled path: a function that returns what `read` returns, or raises KeyError, TypeError or ValidationError."""
        return self.read

    @abstractmethod
    def read(self, value: object) -> T:
        """The value read from JSON. Raises ValidationError. Abstract: every field below has its own."""

    def _deserialize(self, value: object, attr: str | None, data: Mapping[str, object] | None, **_: object) -> T:
        return self.read(value)


class Text(Read[str]):
    """Text of 1 to `most` characters without control characters; `lines` allows line breaks and tabs."""

    def __init__(self, most: int, *, lines: bool = False, **options: Any) -> None:
        super().__init__(**options)
        self.most, self.lines = most, lines

    def read(self, value: object) -> str:
        """The text as sent."""
        if type(value) is not str:
            raise refusal("not_text", f"text of 1 to {self.most} characters is expected here{_in_quotation_marks(value)}")
        if not value.strip() or len(value) > self.most:
            raise refusal("length", f"write 1 to {self.most} characters, not only spaces; these are {len(value)}")
        if not (value.isprintable() or (self.lines and value.translate(_BREAKS).isprintable())):
            raise refusal("not_printable", "remove the control characters from this text")
        return value


_BREAKS = dict.fromkeys(map(ord, "\n\r\t"), " ")


def _in_quotation_marks(value: object) -> str:
    """How a number is written as text: a grade of steel or a postal code looks like one."""
    is_number = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < MOST
    return f': write "{value}", in quotation marks' if is_number else ""


class Tag(Text):
    """The tag of an assembly. It is the last segment of URLs, from which browsers remove `.` and `..`, so neither is accepted."""

    def read(self, value: object) -> str:
        """The tag as sent."""
        text = super().read(value)
        if text in (".", ".."):
            raise refusal(
                "only_dots", "add a letter or a digit: browsers remove `.` and `..` from the end of a URL, so the tag could not be found"
            )
        return text


class Pointer(Text):
    """A JSON Pointer (RFC 6901), either bare, as in findings, or as a URI fragment (section 6), as in faults; read as bare."""

    def read(self, value: object) -> str:
        """The bare pointer."""
        text = super().read(value)
        return super().read(unquote(text[1:])) if text.startswith("#/") else text


class Email(Text):
    """An e-mail address, checked only for its @. `PATTERN` is the complete check, and means the same in Python and JavaScript."""

    PATTERN = "[^ ]+@[^ @]+"

    def read(self, value: object) -> str:
        """The address as sent."""
        text = super().read(value)
        if re.fullmatch(self.PATTERN, text) is None:
            raise refusal("not_an_email", "write an address such as owner@example.org")
        return text


class Telephone(Text):
    """A telephone number as people write it: any text with at least five digits. `PATTERN` is the complete check."""

    PATTERN = "[^0-9]*([0-9][^0-9]*){5,}"

    def __init__(self, **options: Any) -> None:
        super().__init__(40, **options)

    def read(self, value: object) -> str:
        """The number as sent."""
        text = super().read(value)
        if re.fullmatch(self.PATTERN, text) is None:
            raise refusal("not_a_telephone", "write a telephone number of at least five digits, for example +1 401 555 0142")
        return text


class Country(Text):
    """A country's two capital letters by ISO 3166-1."""

    def __init__(self, **options: Any) -> None:
        super().__init__(2, **options)

    def read(self, value: object) -> str:
        """The code as sent."""
        if type(value) is not str or _COUNTRY.fullmatch(value) is None:
            raise refusal("not_a_country", "write the country as two capital letters of ISO 3166-1, such as DE or US")
        return value


_COUNTRY = re.compile(r"[A-Z]{2}", re.ASCII)


class Id(Read[str]):
    """An id issued by the service, in canonical form (RFC 9562, 4); upper or lower case."""

    def read(self, value: object) -> str:
        """The id in lower case, as it is stored."""
        if type(value) is not str or _ID.fullmatch(value) is None:
            raise refusal("not_an_id", "write the id as its reply gave it, for example '01a21202-0dfc-7812-9843-0e6a6544d0d4'")
        return value.lower()


_ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII | re.IGNORECASE)


class Choice(Read[str]):
    """One of a fixed set of words."""

    def __init__(self, accepted: tuple[str, ...], **options: Any) -> None:
        super().__init__(**options)
        self.accepted = accepted
        self._known = {word: word for word in accepted}

    def quick(self) -> Callable[[Any], str]:
        """A dictionary lookup."""
        return self._known.__getitem__

    def read(self, value: object) -> str:
        """The word."""
        if type(value) is not str or value not in self._known:
            meant = nearest(value, self.accepted) if type(value) is str else None
            asked = f"did you mean {meant!r}? A" if meant else "a"
            raise refusal("not_accepted", f"{asked}ccepted here: {', '.join(self.accepted)}")
        return value


class Anything(Read[Any]):
    """Any JSON value except null; it is validated where it is used."""

    def read(self, value: object) -> Any:
        """The value as sent."""
        return value


class Flag(Read[bool]):
    """true or false."""

    def read(self, value: object) -> bool:
        """The truth value."""
        if type(value) is not bool:
            raise refusal("not_a_boolean", "write true or false, without quotation marks")
        return value


class Count(Read[int]):
    """A whole number; as in JSON Schema, 5.0 counts as one."""

    def __init__(self, least: int, most: int, **options: Any) -> None:
        super().__init__(**options)
        self.least, self.most = least, most

    def read(self, value: object) -> int:
        """The number."""
        if type(value) is int or (type(value) is float and value.is_integer()):
            number = int(value)
            if self.least <= number <= self.most:
                return number
        raise refusal("not_a_count", f"write a whole number from {self.least} to {self.most}, without quotation marks")


class Amount(Read[Decimal]):
    """An amount in the shop's currency, as decimal text; or another such number, up to `most`."""

    def __init__(self, *, above_zero: bool = False, most: int | None = None, **options: Any) -> None:
        super().__init__(**options)
        self.above_zero, self.most = above_zero, most

    def read(self, value: object) -> Decimal:
        """The amount, not rounded."""
        if type(value) is not str or _AMOUNT.fullmatch(value) is None or (self.above_zero and not Decimal(value)):
            least = "above zero" if self.above_zero else "of zero or more"
            raise refusal("not_an_amount", f"write an amount {least} as text, for example '12.50'")
        if self.most is not None and Decimal(value) > self.most:
            raise refusal("not_an_amount", f"write an amount of at most {self.most}")
        return Decimal(value)


class Reduction(Read[tuple[Decimal | None, Decimal | None]]):
    """A discount: an amount in the shop's currency, such as `50.00`, or a percentage, such as `10 %`."""

    def read(self, value: object) -> tuple[Decimal | None, Decimal | None]:
        """The amount, or the percentage; the other is None."""
        match = _REDUCTION.fullmatch(value) if type(value) is str else None
        number = Decimal(match[1]) if match else Decimal(0)
        if match is None or not number or (match[2] and number > 100):
            raise refusal(
                "not_a_discount", "write as text an amount above zero, such as '50.00', or a percentage up to 100, such as '10 %'"
            )
        return (None, number) if match[2] else (number, None)


_REDUCTION = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,6})?)( ?%)?", re.ASCII)


_AMOUNT = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,6})?", re.ASCII)


class Length(Read[Decimal]):
    """A length as text, or as `{"value", "unit"}`; read in millimetres."""

    def __init__(self, *, zero: bool = False, **options: Any) -> None:
        super().__init__(**options)
        self.zero = zero

    def quick(self) -> Callable[[Any], Decimal]:
        """Cached for lengths given as text."""
        zero = self.zero
        return lambda value: _remembered(value, zero) if type(value) is str else read_length(value, zero)

    def read(self, value: object) -> Decimal:
        """Millimetres."""
        return read_length(value, self.zero)


class Written(NamedTuple):
    """A length together with how it was written."""

    mm: Decimal
    text: str

    @property
    def inches(self) -> bool:
        """Whether its last unit is inches or feet."""
        return _last_unit(self.text) in ("in", "ft")


@lru_cache(maxsize=4096)
def _last_unit(text: str) -> str:
    """The last unit of a length that has already been read."""
    text = text.rstrip().lower()
    return UNIT_OF[max((word for word in UNIT_OF if text.endswith(word)), key=len)]


class WrittenLength(Read[Written]):
    """A length that also keeps its text."""

    def quick(self) -> Callable[[Any], Written]:
        """Cached for lengths given as text."""
        return lambda value: _remembered_written(value) if type(value) is str else self.read(value)

    def read(self, value: object) -> Written:
        """Millimetres and text."""
        mm = read_length(value, False)
        return Written(mm, value.strip() if isinstance(value, str) else f"{value['value']} {value['unit']}")  # type: ignore[index]


class Quantity(Read[Decimal]):
    """Text read by one of the engine's grammars: a temperature, a force, an area."""

    def __init__(self, parse: Callable[[str], Decimal], example: str, **options: Any) -> None:
        super().__init__(**options)
        self.parse, self.example = parse, example

    def read(self, value: object) -> Decimal:
        """The value in the grammar's unit."""
        if type(value) is not str:
            raise refusal("not_text", f"write it as text with a unit, for example '{self.example}'")
        try:
            found = self.parse(value)
        except QuantityError as fault:
            raise refusal(fault.code, fault.message, fault.values) from None
        if found and not LEAST <= abs(found) <= MOST:
            raise refusal(
                "not_a_size", f"a quantity of this size is not accepted: check the number and its unit, for example '{self.example}'"
            )
        return found


_BARE = "%(value)s has no unit: write it as text, for example '%(value)s mm' or '%(value)s in'"


def read_length(value: object, zero: bool) -> Decimal:
    """The length in millimetres. Raises ValidationError for a value that cannot be read unambiguously, in particular a bare number."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        raise refusal("bare_number", _BARE, {"value": str(value)})
    if isinstance(value, dict) and not all(type(each) is str for each in value.values()):
        raise refusal("not_text", 'value and unit are both text, in quotation marks: {"value": "9568", "unit": "mm"}')
    if not isinstance(value, str | dict):
        raise refusal("not_text", 'a length is text with a unit such as \'9568 mm\', or {"value": "9568", "unit": "mm"}')
    try:
        return _sized(length(value, allow_zero=zero))
    except QuantityError as fault:
        raise refusal(fault.code, fault.message, fault.values) from None


@lru_cache(maxsize=4096)
def _remembered_written(text: str) -> Written:
    return Written(read_length(text, False), text.strip())


@lru_cache(maxsize=16384)
def _remembered(text: str, zero: bool) -> Decimal:
    return read_length(text, zero)


def _sized(mm: Decimal) -> Decimal:
    if mm and not LEAST_MM <= mm <= MOST_MM:
        raise refusal("not_a_size", "lengths from 0.01 mm to 1000 m are accepted: check the number and its unit")
    return mm
