"""One change as data, and in words."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

from pricing.values import Count, Listing, Money, Number, Phrase, Quantity, Text, Value, Values, phrase, values_document
from pricing.wording import Voice
from pricing.wording.catalogue import LANGUAGES, names

Json = dict[str, Any]


class Change(NamedTuple):
    """A change at one place. `code` is the key of its sentence under `change` in the catalogue; `what` names the part, from outside inward.

    `pointer` (RFC 6901) leads into the later issue's request or document, or into the earlier one's for what is gone. `quiet`: left out of
    the words for people, since another change implies it. `weighs`: a length, part or sum that a customer needs to know about. `echo`: only
    repeats a cause at the same place.
    """

    code: str
    pointer: str
    what: Listing
    tag: str | None = None
    values: Values = ()
    quiet: bool = False
    weighs: bool = False
    echo: bool = False

    def sentence(self, voice: Voice) -> str:
        """The change as a sentence."""
        text = voice.phrase(Phrase(f"change.{self.code}", (("what", self.what), *self.values)))
        return text[:1].upper() + text[1:] if self.tag is None else f"{self.tag}, {text}"

    def document(self, voice: Voice) -> Json:
        """The change as JSON. The pointer says what changed, so only the names of articles are added from `what`."""
        named = [("name", each) for each in self.what.items if isinstance(each, Text)]
        return {
            "code": self.code,
            "pointer": self.pointer,
            "tag": self.tag,
            "values": values_document((*named, *self.values)),
            "message": self.sentence(voice),
        }


def what(*named: str | Value) -> Listing:
    """The name of what changed, from catalogue keys and values."""
    return Listing(tuple([phrase(each) if isinstance(each, str) else each for each in named]), "comma")


def code_of(before: object, after: object, *, given: bool) -> str:
    """The code for a changed value, where None means absent. `given`: the value comes from a request, rather than from a result."""
    if before is None:
        return "given" if given else "now"
    if after is None:
        return "not-given" if given else "gone"
    return "other"


def both(before: Value | None, after: Value | None) -> Values:
    """`before` and `after` as named values, without those that are None."""
    return tuple([(name, each) for name, each in (("before", before), ("after", after)) if each is not None])


def money(amount: str | None, currency: str) -> Money | None:
    """An amount from a document (decimal text) as money."""
    return None if amount is None else Money(Decimal(amount), currency)


def amount_of(quantity: str, unit: str) -> Value:
    """A quantity from a document (decimal text): metres for unit `m`, else a count or number."""
    number = Decimal(quantity)
    if unit == "m":
        return Quantity(number, "m")
    return Count(int(number)) if number == number.to_integral_value() else Number(number)


def choice(group: str, value: str) -> Value:
    """A choice by its phrase; one without an entry in the catalogue, such as a grade of wire, is shown as it is."""
    key = f"{group}.{value}"
    return Phrase(key) if key in names(LANGUAGES[0]) else Text(value)


def exact_if_alike(before: Value, after: Value, exact: Callable[[], tuple[Value, Value]]) -> tuple[Value, Value]:
    """Both values, or the pair returned by `exact` if the two would read alike in either system of units."""
    if any(_alike(Voice(units=units), before, after) for units in ("metric", "imperial")):
        return exact()
    return before, after


def _alike(voice: Voice, before: Value, after: Value) -> bool:
    return voice.value(before) == voice.value(after)
